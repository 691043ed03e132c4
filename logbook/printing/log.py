"""An engine's log for a span of dates as one PDF: a sheet of contents, then each entry."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from inspections.drawing.words import count_text
from logbook.printing.blocks import Story, grid, pairs, paragraph, titled
from logbook.printing.ending import Ending
from logbook.printing.entry import EntrySheet, engine_words, entry_chapter, owner_words
from logbook.printing.numbering import PageOf
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.particulars import engine_rows, times_table
from logbook.printing.running import Chapter, Running, Stamp
from logbook.printing.sets import document
from logbook.printing.styles import TITLE
from logbook.printing.wording import completed_of, day_text, given, kind_text

TITLE_TEXT = "Engine log"
NONE_IN_SPAN = "No entry of this engine lies in this span."


@dataclass(frozen=True)
class LogCover:
    """Whose log it is, of which engine, and of which days; None stands for no bound."""

    operator: str
    place: str
    is_demo: bool
    engine: Mapping[str, Any]
    span: tuple[date | None, date | None]
    entries_in_all: int

    @property
    def span_words(self) -> str:
        """Return the days covered, both included."""
        first, last = self.span
        begin = "the first entry" if first is None else day_text(first)
        end = "the newest entry" if last is None else day_text(last)
        return f"from {begin} to {end}, both included"


def _contents(entries: Sequence[EntrySheet]) -> Story:
    rows = [
        [
            entry.number,
            completed_of(entry.body),
            day_text((entry.body.get("signed") or {}).get("at")),
            f"{kind_text(entry.body.get('kind'))}: {given(entry.body.get('title'))}",
            PageOf(entry.mark),
        ]
        for entry in entries
    ]
    headings = ("Entry", "Completed", "Signed", "What", "Page")
    return [grid(headings, rows, (0.1, 0.17, 0.17, 0.45, 0.11))]


def cover_chapter(cover: LogCover, entries: Sequence[EntrySheet], stamp: Stamp) -> Chapter:
    """Return the sheet that opens a log: engine, span, times and contents.

    Parameters
    ----------
    cover : LogCover
        What the log is of.
    entries : sequence of EntrySheet
        The entries that follow.
    stamp : Stamp
        When and by whom it is printed.

    Returns
    -------
    Chapter
        Its running lines and its story.
    """
    running = Running(
        left=(owner_words(cover.operator, cover.place), engine_words(cover.engine)),
        right=(TITLE_TEXT, count_text(len(entries), "entry").replace("entrys", "entries")),
        is_demo=cover.is_demo,
        stamp=stamp,
    )
    rows = [
        *engine_rows(cover.engine),
        ("Operator", cover.operator),
        ("Place", cover.place),
        ("Days covered", cover.span_words),
        ("Entries", f"{len(entries)} of {cover.entries_in_all} of this engine"),
    ]
    story: Story = [paragraph(TITLE_TEXT, TITLE), pairs(rows)]
    if entries:
        times = entries[-1].body.get("times") or {}
        story += titled(f"Engine times at entry {entries[-1].number}", times_table(times))
    listed = _contents(entries) if entries else [paragraph(NONE_IN_SPAN)]
    story += [*titled("Contents", listed), Ending("End of contents.", is_last=not entries)]
    return Chapter(running, story)


def log_pdf(
    entries: Sequence[EntrySheet],
    *,
    cover: LogCover,
    paper: PaperName,
    printed_at: datetime,
    printed_by: str,
) -> bytes:
    """Return an engine's log for a span of dates as one PDF, numbered as one set.

    Parameters
    ----------
    entries : sequence of EntrySheet
        The entries of the span, in order.
    cover : LogCover
        What the log is of.
    paper : str
        ``"a4"`` or ``"letter"``.
    printed_at : datetime
        When it is printed, with its offset from UTC.
    printed_by : str
        Who prints it.

    Returns
    -------
    bytes
        The PDF: the same entries with the same stamp make the same bytes.
    """
    stamp = Stamp(printed_at, printed_by)
    chapters = [cover_chapter(cover, entries, stamp)]
    chapters += [entry_chapter(e, stamp, is_last=k == len(entries)) for k, e in enumerate(entries, 1)]
    serial = given(cover.engine.get("serial"))
    return document(chapters, paper=paper_of(paper), title=f"Engine log, serial {serial}")

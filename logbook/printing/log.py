"""An engine's log for a span of dates: what its sheet of contents says."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from logbook.printing.contents import Cover, Line, set_chapters
from logbook.printing.entry import EntrySheet, engine_words
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.particulars import engine_rows
from logbook.printing.running import Stamp
from logbook.printing.sets import document
from logbook.printing.wording import day_text, given

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
        return span_words(*self.span)

    def of(self, count: int, times: Mapping[str, Any] | None) -> Cover:
        """Return what the sheet of contents says of so many entries, the engine's times at the last of them."""
        rows = [
            *engine_rows(self.engine),
            ("Operator", self.operator),
            ("Place", self.place),
            ("Days covered", self.span_words),
            ("Entries", f"{count} of {self.entries_in_all} of this engine"),
        ]
        return Cover(
            title=TITLE_TEXT,
            operator=self.operator,
            place=self.place,
            is_demo=self.is_demo,
            subject=engine_words(self.engine),
            rows=rows,
            empty=NONE_IN_SPAN,
            times=times,
        )


def span_words(first: date | None, last: date | None) -> str:
    """Return a span of days in words.

    Parameters
    ----------
    first, last : date or None
        The days, both included; None for no bound.

    Returns
    -------
    str
        For example ``"from 2026-05-01 to the newest entry, both included"``.
    """
    begin = "the first entry" if first is None else day_text(first)
    end = "the newest entry" if last is None else day_text(last)
    return f"from {begin} to {end}, both included"


def log_pdf(
    lines: Sequence[Line],
    sheets: Iterable[EntrySheet],
    *,
    cover: LogCover,
    times: Mapping[str, Any] | None,
    paper: PaperName,
    stamp: Stamp,
) -> bytes:
    """Return an engine's log for a span of dates as one PDF, numbered as one set.

    Parameters
    ----------
    lines : sequence of Line
        The contents.
    sheets : iterable of EntrySheet
        The entries of the span, in order, asked for one at a time.
    cover : LogCover
        What the log is of.
    times : mapping or None
        The engine's times at the last entry; None without one.
    paper : str
        ``"a4"`` or ``"letter"``.
    stamp : Stamp
        When and by whom it is printed.

    Returns
    -------
    bytes
        The PDF: the same entries with the same stamp make the same bytes.
    """
    chapters = set_chapters(cover.of(len(lines), times), lines, sheets, stamp)
    serial = given(cover.engine.get("serial"))
    return document(chapters, paper=paper_of(paper), title=f"{TITLE_TEXT}, serial {serial}")

"""A printed set: a sheet that says what it holds, then each entry, numbered as one."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self

from inspections.drawing.words import count_text
from logbook.printing.blocks import Story, grid, pairs, paragraph, titled
from logbook.printing.ending import Ending
from logbook.printing.entry import EntrySheet, entry_chapter, owner_words
from logbook.printing.numbering import PageOf
from logbook.printing.particulars import times_table
from logbook.printing.running import Chapter, Running, Stamp
from logbook.printing.styles import TITLE
from logbook.printing.wording import completed_of, day_text, given, kind_text


@dataclass(frozen=True)
class Line:
    """An entry as a list of contents names it."""

    number: int
    completed: str
    signed: str
    what: str

    @classmethod
    def of(cls, number: int, body: Mapping[str, Any], superseded_by: int | None = None) -> Self:
        """Return the line of an entry."""
        what = f"{kind_text(body.get('kind'))}: {given(body.get('title'))}"
        ended = "" if superseded_by is None else f" (superseded by entry {superseded_by})"
        return cls(number, completed_of(body), day_text((body.get("signed") or {}).get("at")), what + ended)


@dataclass(frozen=True)
class Cover:
    """What a set is of: its title, whose it is, of what in one line, and the rows that say how it was chosen.

    ``times`` are those of the engine at the last entry, where the set is of one engine.
    """

    title: str
    operator: str
    place: str
    is_demo: bool
    subject: str
    rows: Sequence[tuple[str, Any]]
    empty: str
    times: Mapping[str, Any] | None = None


def _contents(lines: Sequence[Line]) -> Story:
    rows = [[line.number, line.completed, line.signed, line.what, PageOf(f"entry-{line.number}")] for line in lines]
    headings = ("Entry", "Completed", "Signed", "What", "Page")
    return [grid(headings, rows, (0.1, 0.17, 0.17, 0.45, 0.11))]


def cover_chapter(cover: Cover, lines: Sequence[Line], stamp: Stamp) -> Chapter:
    """Return the sheet that opens a set: what it is of, and its contents.

    Parameters
    ----------
    cover : Cover
        What the set is of.
    lines : sequence of Line
        The entries that follow.
    stamp : Stamp
        When and by whom it is printed.

    Returns
    -------
    Chapter
        Its running lines and its story.
    """
    running = Running(
        left=(owner_words(cover.operator, cover.place), cover.subject),
        right=(cover.title, count_text(len(lines), "entry").replace("entrys", "entries")),
        is_demo=cover.is_demo,
        stamp=stamp,
    )
    story: Story = [paragraph(cover.title, TITLE), pairs(cover.rows)]
    if lines and cover.times is not None:
        story += titled(f"Engine times at entry {lines[-1].number}", times_table(cover.times))
    listed = _contents(lines) if lines else [paragraph(cover.empty)]
    story += [*titled("Contents", listed), Ending("End of contents.", is_last=not lines)]
    return Chapter(running, story)


def set_chapters(cover: Cover, lines: Sequence[Line], sheets: Iterable[EntrySheet], stamp: Stamp) -> Iterator[Chapter]:
    """Yield the chapters of a set as their turn comes.

    Parameters
    ----------
    cover : Cover
        What the set is of.
    lines : sequence of Line
        Its contents.
    sheets : iterable of EntrySheet
        The same entries in the same order; asked for one at a time.
    stamp : Stamp
        When and by whom it is printed.

    Yields
    ------
    Chapter
        The contents, then each entry.
    """
    yield cover_chapter(cover, lines, stamp)
    for place, sheet in enumerate(sheets, start=1):
        yield entry_chapter(sheet, stamp, is_last=place == len(lines))

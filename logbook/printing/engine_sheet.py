"""A document about one engine: who it is, then one table after another, each of which says so where it is empty."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from reportlab.platypus import Flowable

from logbook.printing.blocks import Story, grid, height_of, pairs, paragraph, titled
from logbook.printing.ending import LEAST_HEIGHT, Ending
from logbook.printing.entry import engine_words, owner_words
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.particulars import engine_rows
from logbook.printing.running import Chapter, Running, Stamp, text_height
from logbook.printing.sets import document
from logbook.printing.styles import TITLE
from logbook.printing.wording import day_text

NONE_RECORDED: Final = "None recorded."
KNOWN: Final = (
    "Worked out from what was recorded by the time of printing; what was not recorded is not known here. "
    "This document approves nothing for return to service."
)


@dataclass(frozen=True)
class Listing:
    """A table with its heading, and sentences before it; ``shares`` are of the text's width, 1 in all.

    Without a title it follows what stands before it.
    """

    title: str
    headings: Sequence[str] = ()
    shares: Sequence[float] = ()
    rows: Sequence[Sequence[Any]] = ()
    about: Sequence[str] = ()

    @property
    def story(self) -> Story:
        """Return it as it is laid out."""
        content: Story = [paragraph(text) for text in self.about]
        if self.rows:
            content.append(grid(self.headings, self.rows, self.shares))
        elif self.headings:
            content.append(paragraph(NONE_RECORDED))
        return titled(self.title, content) if self.title else content


@dataclass(frozen=True)
class EngineSheet:
    """What a document about an engine says: whose engine, which, and the listings; facts in so many columns.

    ``drawing`` makes a picture of a height, which stands under the facts and fills the page: such a sheet is of one
    page, and leaves out the facts that its running lines tell.
    """

    title: str
    operator: str
    place: str
    is_demo: bool
    engine: Mapping[str, Any]
    about: Sequence[tuple[str, Any]]
    listings: Sequence[Listing]
    columns: int = 1
    drawing: Callable[[float], Flowable] | None = None

    def running(self, stamp: Stamp) -> Running:
        """Return what stands above and below its text."""
        return Running(
            left=(owner_words(self.operator, self.place), engine_words(self.engine)),
            right=(self.title, f"as of {day_text(stamp.printed_at.date())}"),
            is_demo=self.is_demo,
            stamp=stamp,
        )

    def facts(self, stamp: Stamp) -> list[tuple[str, Any]]:
        """Return what it is about, as labels with their values."""
        rows = [*engine_rows(self.engine), ("Operator", self.operator), ("As of", day_text(stamp.printed_at.date()))]
        told = ("Engine serial", "Engine type", "Operator", "As of") if self.drawing else ()
        return [*(row for row in rows if row[0] not in told), *self.about]

    def beginning(self, stamp: Stamp) -> Story:
        """Return its title and facts."""
        return [paragraph(self.title, TITLE), pairs(self.facts(stamp), self.columns)]

    @property
    def rest(self) -> Story:
        """Return its listings and what is said at the end."""
        return [*(flowable for listing in self.listings for flowable in listing.story), paragraph(KNOWN)]


def picture_room(sheet: EngineSheet, stamp: Stamp) -> float:
    """Return how high a picture there is room for on the one page of a sheet.

    Parameters
    ----------
    sheet : EngineSheet
        What it says besides.
    stamp : Stamp
        When and by whom it is printed.

    Returns
    -------
    float
        Nothing or less where the words alone fill the page. [pt]
    """
    words = height_of([*sheet.beginning(stamp), *sheet.rest])
    return text_height(sheet.running(stamp)) - words - LEAST_HEIGHT


def engine_sheet_pdf(sheet: EngineSheet, *, paper: PaperName, stamp: Stamp) -> bytes:
    """Return a document about an engine as a PDF, dated.

    Parameters
    ----------
    sheet : EngineSheet
        What it says.
    paper : str
        ``"a4"`` or ``"letter"``.
    stamp : Stamp
        When and by whom it is printed.

    Returns
    -------
    bytes
        The PDF: the same sheet with the same stamp makes the same bytes.
    """
    drawn = [sheet.drawing(picture_room(sheet, stamp))] if sheet.drawing else []
    end = Ending(f"End of the {sheet.title.lower()}.", is_last=True)
    story: Story = [*sheet.beginning(stamp), *drawn, *sheet.rest, end]
    title = f"{sheet.title}, engine {sheet.engine.get('serial')}"
    return document([Chapter(sheet.running(stamp), story)], paper=paper_of(paper), title=title)

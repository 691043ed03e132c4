"""A document about one engine: who it is, then one table after another, each of which says so where it is empty."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from logbook.printing.blocks import Story, grid, pairs, paragraph, titled
from logbook.printing.ending import Ending
from logbook.printing.entry import engine_words, owner_words
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.particulars import engine_rows
from logbook.printing.running import Chapter, Running, Stamp
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
    """A table with its heading, and sentences and pictures before it; ``shares`` are of the text's width, 1 in all."""

    title: str
    headings: Sequence[str] = ()
    shares: Sequence[float] = ()
    rows: Sequence[Sequence[Any]] = ()
    about: Sequence[str] = ()
    drawings: Sequence[Any] = ()

    @property
    def story(self) -> Story:
        """Return it as it is laid out."""
        before = [*(paragraph(text) for text in self.about), *self.drawings]
        if self.rows:
            return titled(self.title, [*before, grid(self.headings, self.rows, self.shares)])
        return titled(self.title, [*before, paragraph(NONE_RECORDED)] if self.headings else before)


@dataclass(frozen=True)
class EngineSheet:
    """What a document about an engine says: whose engine, which, and the listings; facts in so many columns."""

    title: str
    operator: str
    place: str
    is_demo: bool
    engine: Mapping[str, Any]
    about: Sequence[tuple[str, Any]]
    listings: Sequence[Listing]
    columns: int = 1


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
    day = day_text(stamp.printed_at.date())
    running = Running(
        left=(owner_words(sheet.operator, sheet.place), engine_words(sheet.engine)),
        right=(sheet.title, f"as of {day}"),
        is_demo=sheet.is_demo,
        stamp=stamp,
    )
    facts = [*engine_rows(sheet.engine), ("Operator", sheet.operator), ("As of", day), *sheet.about]
    listings = [flowable for listing in sheet.listings for flowable in listing.story]
    end = [paragraph(KNOWN), Ending(f"End of the {sheet.title.lower()}.", is_last=True)]
    story: Story = [paragraph(sheet.title, TITLE), pairs(facts, sheet.columns), *listings, *end]
    serial = sheet.engine.get("serial")
    return document([Chapter(running, story)], paper=paper_of(paper), title=f"{sheet.title}, engine {serial}")

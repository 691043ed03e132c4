"""Lists on paper: inspections as they stand, and who may inspect what."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.utils import timezone

from engines.models import Operator
from inspections.models import Inspection
from logbook.desk import Authorization
from logbook.list_columns import age_of, all_that_happened, clause_of, due_words
from logbook.phrases import age_words
from logbook.printing.blocks import Story, grid, pairs, paragraph, titled
from logbook.printing.ending import Ending
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.running import Chapter, Running, Stamp
from logbook.printing.sets import document
from logbook.printing.styles import TITLE
from logbook.printing.wording import day_text

LIST_TITLE = "Inspections"
ALLOWED_TITLE = "Who may inspect what"
NOT_KNOWN = "Only what was recorded by the time of printing is known here."


def inspections_pdf(
    inspections: Sequence[Inspection],
    *,
    operator: Operator,
    among: int,
    paper: PaperName,
    stamp: Stamp,
) -> bytes:
    """Return inspections as a list, in the order given."""
    rows = [_inspection(inspection) for inspection in inspections]
    facts = [
        ("Operator", operator.name),
        ("Place", operator.place),
        ("As of", f"{stamp.printed_at:%Y-%m-%d %H:%M %Z}"),
        ("Shown", f"{len(rows)} of {among}"),
    ]
    headings = ("No.", "Engine", "What happened, called for by", "Opened", "Due", "State, who has it")
    listed = [grid(headings, rows, (0.07, 0.16, 0.31, 0.16, 0.13, 0.17))] if rows else [paragraph("None.")]
    story: Story = [paragraph(LIST_TITLE, TITLE), pairs(facts), *titled("List", listed), paragraph(NOT_KNOWN)]
    return _document(story, operator, LIST_TITLE, f"{len(rows)} listed", (paper, stamp))


def _inspection(inspection: Inspection) -> list[Any]:
    what = f"{inspection.summary}\n{all_that_happened(inspection)}\n{clause_of(inspection)}"
    opened = f"{timezone.localdate(inspection.opened_at)}\n{age_words(age_of(inspection))}"
    holder = inspection.assigned_to or "nobody yet"
    return [
        inspection.number,
        inspection.engine.serial,
        what,
        opened,
        due_words(inspection),
        f"{inspection.get_state_display()}\n{holder}",
    ]


def authorizations_pdf(
    lines: Sequence[Authorization],
    *,
    operator: Operator,
    on: date,
    paper: PaperName,
    stamp: Stamp,
) -> bytes:
    """Return the list of who may inspect what as it stands on a day."""
    facts = [
        ("Operator", operator.name),
        ("Place", operator.place),
        ("In force on", day_text(on)),
        ("Kept under", "14 CFR 135.429(e): name, title and the inspections allowed"),
    ]
    rows = [[line.name, line.title, line.allowed, day_text(line.begins_on), str(line.listed_by)] for line in lines]
    headings = ("Name", "Title", "Inspections allowed", "From", "Listed by")
    listed = [grid(headings, rows, (0.19, 0.18, 0.34, 0.13, 0.16))] if rows else [paragraph("Nobody is listed.")]
    story: Story = [paragraph(ALLOWED_TITLE, TITLE), pairs(facts), *titled("List", listed)]
    return _document(story, operator, ALLOWED_TITLE, f"{len(rows)} listed", (paper, stamp))


def _document(story: Story, operator: Operator, title: str, count: str, sheet: tuple[PaperName, Stamp]) -> bytes:
    """Return a story on paper under an operator's running lines, its end ruled off."""
    paper, stamp = sheet
    place = operator.place or "place not recorded"
    running = Running(left=(operator.name, place), right=(title, count), is_demo=operator.is_demo, stamp=stamp)
    chapter = Chapter(running, [*story, Ending("End of list.", is_last=True)])
    return document([chapter], paper=paper_of(paper), title=f"{title}, {operator.name}")

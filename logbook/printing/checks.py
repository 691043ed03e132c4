"""Checks before a start as a PDF, and as a part of the print of the start that followed."""

from typing import Final

from django.utils import timezone

from engines.models import StartCheck
from logbook.printing.blocks import Story, grid, pairs, paragraph, titled
from logbook.printing.ending import Ending
from logbook.printing.engine_head import engine_facts, engine_running
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.running import Chapter, Stamp
from logbook.printing.sets import document
from logbook.printing.styles import TITLE

TITLE_TEXT: Final = "Checks before a start"
HEADINGS: Final = ("Check", "Answer", "The type asks for", "Out of place, and why")
WIDTHS: Final = (0.3, 0.18, 0.22, 0.3)


def checks_pdf(check: StartCheck, *, paper: PaperName, stamp: Stamp) -> bytes:
    """Return the checks before a start as a PDF."""
    engine = check.engine
    running = engine_running(engine, TITLE_TEXT, f"limits revision {check.revision.number}", stamp)
    story: Story = [
        paragraph(TITLE_TEXT, TITLE),
        pairs(engine_facts(engine)),
        *checks_story(check),
        Ending("End of the checks.", is_last=True),
    ]
    return document([Chapter(running, story)], paper=paper_of(paper), title=f"{TITLE_TEXT}, serial {engine.serial}")


def checks_story(check: StartCheck) -> Story:
    """Return the answers as a table, with who answered them and when."""
    rows = [(a["name"], a["said"], a["asked"] or "–", _why(a)) for a in check.answers]
    said = f"Answered by {check.by}, an observer, {timezone.localtime(check.at):%Y-%m-%d %H:%M}. {check.remarks}"
    return [paragraph(said.strip()), *titled("Checks", [grid(HEADINGS, rows, WIDTHS)])]


def _why(answer: dict[str, str]) -> str:
    return f"Out of place. Why: {answer['reason']}" if answer["question"] else "–"

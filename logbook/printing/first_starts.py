"""A first-start plan as a PDF: what asked for it, its steps, and all that was recorded of them."""

from typing import Final

from engines.models import FirstStart
from logbook.first_start_words import motoring_rows, plan_lines, plan_rows, signed_words, steps_shown
from logbook.printing.blocks import Story, grid, pairs, paragraph, titled
from logbook.printing.ending import Ending
from logbook.printing.engine_head import engine_facts, engine_running
from logbook.printing.paper import PaperName, paper_of
from logbook.printing.running import Chapter, Stamp
from logbook.printing.sets import document
from logbook.printing.styles import TITLE

TITLE_TEXT: Final = "First-start plan"
STEPS: Final = ("No.", "Step", "How it stands", "Watched for")
STEP_WIDTHS: Final = (0.07, 0.33, 0.2, 0.4)
LINES: Final = ("When", "Step", "How it ended", "Said of it")
LINE_WIDTHS: Final = (0.15, 0.23, 0.2, 0.42)


def first_start_pdf(plan: FirstStart, *, paper: PaperName, stamp: Stamp) -> bytes:
    """Return a plan as a PDF."""
    engine = plan.engine
    running = engine_running(engine, TITLE_TEXT, f"limits revision {plan.revision.number}", stamp)
    story: Story = [
        paragraph(TITLE_TEXT, TITLE),
        pairs(engine_facts(engine)),
        *plan_story(plan),
        Ending("End of the plan.", is_last=True),
    ]
    return document([Chapter(running, story)], paper=paper_of(paper), title=f"{TITLE_TEXT}, serial {engine.serial}")


def plan_story(plan: FirstStart) -> Story:
    """Return a plan's rows, steps and lines, and by which entry it was signed."""
    end = getattr(plan, "end", None)
    signed = signed_words(plan)
    steps = [(k, step.rule.name, step.words, step.rule.watch or "–") for k, step in enumerate(steps_shown(plan), 1)]
    lines = plan_lines(plan) or [("–", "Nothing is recorded yet", "–", "–")]
    story: Story = [
        *titled("The plan", [pairs([*plan_rows(plan, end), ("Signed", signed)])]),
        *titled("Steps", [grid(STEPS, steps, STEP_WIDTHS)]),
        *titled("What was recorded", [grid(LINES, lines, LINE_WIDTHS)]),
    ]
    motoring = motoring_rows(plan)
    return [*story, *titled("Motoring besides", [pairs(motoring)])] if motoring else story

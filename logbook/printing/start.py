"""One start of a run as a PDF: how it ended, its figures, its course in pictures."""

from collections.abc import Sequence
from typing import Final

from django.utils import timezone

from engines.start_words import FigureLine
from inspections.drawing.shapes import Picture
from inspections.drawing.start_picture import start_summary
from logbook.printing.blocks import Story, bullets, grid, pairs, paragraph, titled, together
from logbook.printing.checks import checks_story
from logbook.printing.ending import Ending
from logbook.printing.engine_head import engine_facts, engine_running
from logbook.printing.paper import TEXT_WIDTH, PaperName, paper_of
from logbook.printing.picture import PictureFlowable
from logbook.printing.running import Chapter, Stamp
from logbook.printing.sets import document
from logbook.printing.styles import STRONG, TITLE
from logbook.start_page import StartPage

HEADINGS: Final = ("Figure", "This start", "The type asks for", "Own earlier starts, median and middle half")
WIDTHS: Final = (0.3, 0.22, 0.2, 0.28)
PROPOSES: Final = (
    "Read from the recorded trace by the rules of the type's document. It says what was recorded; a person decides."
)


def start_pdf(page: StartPage, pictures: Sequence[Picture], *, paper: PaperName, stamp: Stamp) -> bytes:
    """Return one start as a PDF."""
    run, revision = page.start.judgement.run, page.start.judgement.revision
    engine, at = run.engine, timezone.localtime(page.start.at)
    title = f"Start of {at:%Y-%m-%d %H:%M}"
    running = engine_running(engine, title, f"limits revision {revision.number}", stamp)
    about = [
        *engine_facts(engine),
        ("Start", f"{page.start.place} of the run that began {timezone.localtime(run.started_at):%Y-%m-%d %H:%M}"),
        ("Rules of the type", page.rules.source or "source not recorded"),
    ]
    story: Story = [
        paragraph(title, TITLE),
        pairs(about),
        paragraph(page.ended, STRONG),
        *bullets([*page.outside, *([page.starter] if page.starter else []), *page.start.figures["notes"]]),
        *titled("Figures", [figures_table(page.lines)]),
        *(titled("Shutdown", [figures_table(page.shutdown)]) if page.shutdown else []),
    ]
    for scene, picture in zip(page.scenes, pictures, strict=True):
        drawing = [together([PictureFlowable(picture, TEXT_WIDTH)]), paragraph(start_summary(scene))]
        story += titled(scene.label, drawing)
    story += checks_story(page.check) if page.check else [paragraph("No checks before this start were recorded.")]
    story += [paragraph(PROPOSES), Ending("End of the start.", is_last=True)]
    return document([Chapter(running, story)], paper=paper_of(paper), title=f"{title}, serial {engine.serial}")


def figures_table(lines: Sequence[FigureLine]) -> object:
    """Return figures as a table; what is not as the type asks says so."""
    rows = [(line.label, said(line), line.asked or "–", line.own or "–") for line in lines]
    return grid(HEADINGS, rows, WIDTHS)


def said(line: FigureLine) -> str:
    """Return a figure's value, and that it is not as asked where it is not."""
    return f"{line.value}, not as asked" if line.is_outside else line.value

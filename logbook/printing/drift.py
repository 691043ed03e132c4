"""How an engine's starts drift as a PDF: every watched figure as a row, and the charts of those that drift."""

from collections.abc import Sequence
from typing import Final

from engines.models import Engine
from engines.start_rules import DriftRule
from inspections.drawing.shapes import Picture
from logbook.drift import Series, rule_words
from logbook.printing.blocks import Story, grid, pairs, paragraph, titled, together
from logbook.printing.ending import Ending
from logbook.printing.engine_head import engine_facts, engine_running
from logbook.printing.paper import TEXT_WIDTH, PaperName, paper_of
from logbook.printing.picture import PictureFlowable
from logbook.printing.running import Chapter, Stamp
from logbook.printing.sets import document
from logbook.printing.styles import TITLE
from logbook.printing.wording import day_text

TITLE_TEXT: Final = "Drift of the starts"
HEADINGS: Final = ("Figure", "Newest", "Target and SD", "EWMA and its limits", "CUSUM, decision value", "Says")
WIDTHS: Final = (0.2, 0.12, 0.16, 0.22, 0.16, 0.14)


def drift_pdf(
    engine: Engine,
    watched: Sequence[Series],
    pictures: Sequence[tuple[Picture, str]],
    *,
    rule: DriftRule,
    paper: PaperName,
    stamp: Stamp,
) -> bytes:
    """Return how an engine's starts drift as a PDF; ``pictures`` come with their sentences."""
    running = engine_running(engine, TITLE_TEXT, f"as of {day_text(stamp.printed_at.date())}", stamp)
    story: Story = [
        paragraph(TITLE_TEXT, TITLE),
        pairs(engine_facts(engine)),
        paragraph(rule_words(rule)),
        *titled("Figures", [grid(HEADINGS, [_row(series) for series in watched], WIDTHS)]),
    ]
    for picture, words in pictures:
        story += titled(picture.title, [together([PictureFlowable(picture, TEXT_WIDTH)]), paragraph(words)])
    story.append(Ending("End of the drift.", is_last=True))
    return document([Chapter(running, story)], paper=paper_of(paper), title=f"{TITLE_TEXT}, serial {engine.serial}")


def _row(series: Series) -> list[str]:
    return [series.label, *(words for _, words in series.cells), series.verdict]

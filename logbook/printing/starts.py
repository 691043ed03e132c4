"""A year of an engine's starts as a PDF: the picture, and the same facts as a table."""

from engines.models import Engine
from inspections.drawing.shapes import Picture
from inspections.drawing.starts_picture import start_facts, summary_of
from inspections.drawing.words import count_text
from logbook.printing.blocks import Story, grid, pairs, paragraph, titled, together
from logbook.printing.ending import Ending
from logbook.printing.engine_head import engine_facts, engine_running
from logbook.printing.paper import TEXT_WIDTH, PaperName, paper_of
from logbook.printing.picture import PictureFlowable
from logbook.printing.running import Chapter, Stamp
from logbook.printing.sets import document
from logbook.printing.styles import STRONG, TITLE
from logbook.starts import YearOfStarts

TITLE_TEXT = "A year of starts"


def starts_pdf(engine: Engine, year: YearOfStarts, picture: Picture, *, paper: PaperName, stamp: Stamp) -> bytes:
    """Return a year of an engine's starts as a PDF.

    Parameters
    ----------
    engine : Engine
        The engine.
    year : YearOfStarts
        Its starts.
    picture : Picture
        Their picture.
    paper : str
        ``"a4"`` or ``"letter"``.
    stamp : Stamp
        When and by whom it is printed.

    Returns
    -------
    bytes
        The PDF.
    """
    running = engine_running(engine, TITLE_TEXT, f"limits revision {year.revision.number}", stamp)
    story: Story = [
        paragraph(TITLE_TEXT, TITLE),
        pairs([*engine_facts(engine), *_about(year)]),
        paragraph(summary_of(year.scene), STRONG),
        *_starts(year, picture),
        Ending("End of the starts.", is_last=True),
    ]
    return document([Chapter(running, story)], paper=paper_of(paper), title=f"{TITLE_TEXT}, serial {engine.serial}")


def _about(year: YearOfStarts) -> list[tuple[str, object]]:
    scene = year.scene
    source = "none in force" if scene.chart is None else f"{scene.chart.name}: {scene.chart.source or 'not recorded'}"
    return [
        ("Days covered", f"{scene.first} to {scene.last}, both included"),
        ("Starting limit", f"{source}; limits revision {year.revision.number}"),
        ("Without a record", f"{count_text(year.without_record, 'start')} written down without a recorded trace"),
    ]


def _starts(year: YearOfStarts, picture: Picture) -> Story:
    """Return the picture and the table; nothing where there is no start to draw, which the sentence above says."""
    facts = start_facts(year.scene)
    if not facts:
        return []
    rows = [list(row.values()) for row in facts]
    table = titled("The same facts", [grid(tuple(facts[0]), rows, (0.24, 0.3, 0.16, 0.3))])
    return [together([PictureFlowable(picture, TEXT_WIDTH)]), *table]

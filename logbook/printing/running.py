"""What stands on every page: whose record it is above the text, notices and the print stamp below it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate, Table

from logbook.printing.blocks import Story, paragraph
from logbook.printing.paper import BINDING, EDGE, TEXT_HEIGHT, TEXT_WIDTH, Paper
from logbook.printing.styles import CELL, CENTRED, INK, LABEL, REGULAR, RIGHT_CELL, RIGHT_LABEL, SIZE
from logbook.printing.wording import CAUTION, COPY, DEMO, UNSIGNED, moment_text

SPACE = 8.0  # between the running lines and the text [pt]
STAMP_SHARE = 0.75  # of the text's width for the name; the rest is for "page x of y"


def shortened(text: str, width: float) -> str:
    """Return a text, cut off with an ellipsis where it is wider than one line.

    Parameters
    ----------
    text : str
        The text.
    width : float
        The line. [pt]

    Returns
    -------
    str
        As much of the text as there is room for.
    """
    kept = text
    while stringWidth(kept, REGULAR, SIZE) > width:
        kept = f"{kept[:-2].rstrip()}…"
    return kept


@dataclass(frozen=True)
class Stamp:
    """When and by whom a sheet was printed, and what is said of the file's own signature."""

    printed_at: datetime
    printed_by: str
    seal: str = UNSIGNED

    @property
    def lines(self) -> tuple[str, str, str]:
        """Return the stamp in three lines, so that no name moves the text above it."""
        first = f"{COPY} Printed {moment_text(self.printed_at)}"
        by = shortened(f"Printed by {self.printed_by}", STAMP_SHARE * TEXT_WIDTH)
        return first, shortened(self.seal, TEXT_WIDTH), by


@dataclass(frozen=True)
class Running:
    """What stands above and below the text of a page: two lines left, two lines right, and the notices."""

    left: tuple[str, str]
    right: tuple[str, str]
    is_demo: bool
    stamp: Stamp


@dataclass(frozen=True)
class Chapter:
    """Some pages under the same running lines."""

    running: Running
    story: Story


def _lines(rows: list[list[Any]], widths: list[float], *styles: tuple[Any, ...]) -> Table:
    plain = [
        ("FONT", (0, 0), (-1, -1), REGULAR, SIZE),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    return Table(rows, widths, style=[*plain, *styles])


def _header(running: Running) -> list[Flowable]:
    """Return what stands above the text, from the top down."""
    looks = ((LABEL, RIGHT_LABEL), (CELL, RIGHT_CELL))
    rows = [
        [paragraph(left, look), paragraph(right, right_look)]
        for left, right, (look, right_look) in zip(running.left, running.right, looks, strict=True)
    ]
    names = _lines(rows, [0.64 * TEXT_WIDTH, 0.36 * TEXT_WIDTH], ("LINEBELOW", (0, -1), (-1, -1), 0.8, INK))
    notice = _lines([[paragraph(DEMO, CENTRED)]], [TEXT_WIDTH], ("BOX", (0, 0), (-1, -1), 0.8, INK))
    return [notice, names] if running.is_demo else [names]


def _footer(running: Running) -> list[Flowable]:
    """Return what stands below the text, from the top down."""
    rule = ("LINEABOVE", (0, 0), (-1, 0), 0.8, INK)
    caution = _lines([[paragraph(CAUTION, CELL)]], [TEXT_WIDTH], rule)
    stamp = _lines([[paragraph(line, CELL)] for line in running.stamp.lines], [TEXT_WIDTH])
    return [caution, stamp]


def _height(flowables: Sequence[Flowable]) -> float:
    return sum(float(flowable.wrap(TEXT_WIDTH, TEXT_HEIGHT)[1]) for flowable in flowables)


def text_height(running: Running) -> float:
    """Return how high the text of each page is, the same on every paper.

    Parameters
    ----------
    running : Running
        What stands above and below the text.

    Returns
    -------
    float
        The height. [pt]
    """
    return TEXT_HEIGHT - _height(_header(running)) - _height(_footer(running)) - 2 * SPACE


def page_template(name: str, running: Running, paper: Paper) -> PageTemplate:
    """Return the page on which a chapter is laid out; its text block is the same on every paper.

    Parameters
    ----------
    name : str
        The page's own, within its part.
    running : Running
        What stands above and below the text.
    paper : Paper
        The sheet.

    Returns
    -------
    PageTemplate
        For the layout engine.
    """
    above, below = _header(running), _footer(running)
    header, footer = _height(above), _height(below)
    height = text_height(running)
    bottom = paper.height - EDGE - header - SPACE - height
    frame = Frame(BINDING, bottom, TEXT_WIDTH, height, 0, 0, 0, 0, id=name)

    def draw(canvas: Canvas, _: BaseDocTemplate) -> None:
        for top, lines in ((paper.height - EDGE, above), (EDGE + footer, below)):
            for line in lines:
                top -= line.wrapOn(canvas, TEXT_WIDTH, TEXT_HEIGHT)[1]
                line.drawOn(canvas, BINDING, top)

    return PageTemplate(id=name, frames=[frame], onPage=draw, pagesize=paper.size)

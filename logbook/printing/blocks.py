"""Building blocks of a sheet: paragraphs, headings that stay with what they head, and tables whose rows stay whole."""

from collections.abc import Sequence
from copy import copy
from functools import cache
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import CondPageBreak, Flowable, Paragraph, Table, TableStyle

from logbook.printing.paper import TEXT_HEIGHT, TEXT_WIDTH
from logbook.printing.styles import BY_NAME, CELL, INK, LABEL, LEADING, PART, REGULAR, SECTION, SIZE, TEXT, TINT
from logbook.printing.wording import given

Story = list[Flowable]

PAD = 3.0  # between a cell's edge and its text [pt]
TALLEST = 24 * LEADING  # of a row; a cell with more goes on in the next [pt]
WHOLE = 150.0  # up to which height a table stays in one piece with its heading [pt]
MOST_ROOM = 480.0  # that a heading waits for, less than a page has for text [pt]
LEAST_LINES = 3

_LINES: list[tuple[Any, ...]] = [
    ("FONT", (0, 0), (-1, -1), REGULAR, SIZE),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), PAD),
    ("RIGHTPADDING", (0, 0), (-1, -1), PAD),
    ("TOPPADDING", (0, 0), (-1, -1), 1.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
    ("GRID", (0, 0), (-1, -1), 0.5, INK),
]


class Text(Paragraph):  # type: ignore[misc]
    """A paragraph that breaks its lines once for each width, since tables and headings ask for its height again."""

    broken_at: float | None = None

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the room that it takes, worked out once for each width."""
        if width != self.broken_at or not hasattr(self, "blPara"):
            super().wrap(width, height)
            self.broken_at = width
        return self.width, self.height


def paragraph(text: Any, style: ParagraphStyle = TEXT) -> Paragraph:
    """Return text as it was written, line breaks kept, nothing in it read as markup.

    Parameters
    ----------
    text : str, number or None
        The text; a blank becomes ``"not recorded"``.
    style : ParagraphStyle
        Its looks.

    Returns
    -------
    Paragraph
        The flowable.
    """
    words = given(text)
    if "\n" in words:
        return Text(escape(words).replace("\n", "<br/>"), style)
    return Text(None, style, frags=[_fragment(words, style)])


@cache
def _template(style: str) -> Any:
    """Return what the parser makes of a word in a style."""
    return Text("x", BY_NAME[style]).frags[0]


def _fragment(words: str, style: ParagraphStyle) -> Any:
    """Return words as the parser would, which takes longer than to lay them out."""
    fragment = copy(_template(style.name))
    fragment.text = words
    return fragment


def _need(flowable: Flowable) -> float:
    """Return the height of the part of a flowable that must stay with its heading. [pt]"""
    _, height = flowable.wrap(TEXT_WIDTH, TEXT_HEIGHT)
    if isinstance(flowable, Table) and height > WHOLE:
        return float(sum(flowable._rowHeights[: flowable.repeatRows + 1]))
    return float(min(height, LEAST_LINES * LEADING)) if isinstance(flowable, Paragraph) else float(height)


def height_of(story: Story) -> float:
    """Return how high content stands when nothing of it is broken by the end of a page.

    Parameters
    ----------
    story : list of Flowable
        The content.

    Returns
    -------
    float
        With the spaces between, of which the larger counts where two meet, and the last one after it. [pt]
    """
    total = after = 0.0
    for flowable in story:
        before = max(float(flowable.getSpaceBefore()) - after, 0.0)
        height = 0.0 if isinstance(flowable, CondPageBreak) else float(flowable.wrap(TEXT_WIDTH, TEXT_HEIGHT)[1])
        after = float(flowable.getSpaceAfter())
        total += before + height + after
    return total


def titled(title: str, content: Story, style: ParagraphStyle = SECTION) -> Story:
    """Return content under a heading that never stands alone at the foot of a page.

    Parameters
    ----------
    title : str
        The heading.
    content : list of Flowable
        What it heads, not empty.
    style : ParagraphStyle
        Looks of the heading.

    Returns
    -------
    list of Flowable
        The heading and the content.
    """
    heading = paragraph(title, style)
    room = style.spaceBefore + _need(heading) + style.spaceAfter + _need(content[0])
    return [CondPageBreak(min(room, MOST_ROOM)), heading, *content]


def part(title: str, content: Story) -> Story:
    """Return content under a heading of the second order.

    Parameters
    ----------
    title : str
        The heading.
    content : list of Flowable
        What it heads, not empty.

    Returns
    -------
    list of Flowable
        The heading and the content.
    """
    return titled(title, content, PART)


def split_after(text: Paragraph, width: float, height: float) -> tuple[Paragraph, Paragraph | None]:
    """Return what of a paragraph fits a height, and the rest or None.

    Parameters
    ----------
    text : Paragraph
        The paragraph.
    width, height : float
        The room, at least one line high. [pt]

    Returns
    -------
    tuple of Paragraph and Paragraph or None
        The two parts.
    """
    _, whole = text.wrap(width, height)
    if whole <= height:
        return text, None
    head, tail = text.split(width, height)
    return head, tail


def _rows(cells: Sequence[Paragraph], widths: Sequence[float]) -> list[list[Any]]:
    """Return one row, or several where a cell is taller than a row may be."""
    rows: list[list[Any]] = []
    left: list[Paragraph | None] = list(cells)
    while any(cell is not None for cell in left):
        row: list[Any] = []
        for place, (cell, width) in enumerate(zip(left, widths, strict=True)):
            head, left[place] = ("", None) if cell is None else split_after(cell, width - 2 * PAD, TALLEST)
            row.append(head)
        rows.append(row)
    return rows


def grid(
    headings: Sequence[str],
    rows: Sequence[Sequence[Any]],
    widths: Sequence[float],
    styles: Sequence[ParagraphStyle] | None = None,
) -> Table:
    """Return a table with a heading row that repeats on every page.

    Parameters
    ----------
    headings : sequence of str
        One per column.
    rows : sequence of sequence
        Texts, or flowables as they are; blanks become ``"not recorded"``.
    widths : sequence of float
        Share of each column in the text's width, 1 in all.
    styles : sequence of ParagraphStyle or None
        Looks of each column's texts.

    Returns
    -------
    Table
        Rows stay whole, except one taller than 24 lines, which goes on in a row of its own.
    """
    points = [share * TEXT_WIDTH for share in widths]
    looks = styles or [CELL] * len(points)
    data: list[list[Any]] = [[paragraph(heading, LABEL) for heading in headings]]
    for row in rows:
        cells = [c if isinstance(c, Flowable) else paragraph(c, look) for c, look in zip(row, looks, strict=True)]
        data += _rows(cells, points)
    tint = ("BACKGROUND", (0, 0), (-1, 0), TINT)
    return _table(data, points, [*_LINES, tint], repeatRows=1)


def _table(data: list[list[Any]], widths: list[float], style: list[tuple[Any, ...]], repeatRows: int = 0) -> Table:  # noqa: N803
    return Table(
        data, widths, style=TableStyle(style), repeatRows=repeatRows, hAlign="LEFT", spaceBefore=2, spaceAfter=4
    )


def _pair(label: str, value: Any) -> list[Paragraph]:
    return [paragraph(label, LABEL), paragraph(value, CELL)] if label else [Paragraph("", CELL)] * 2


def pairs(rows: Sequence[tuple[str, Any]], columns: int = 1, share: float = 1.0) -> Table:
    """Return labels with their values beside them.

    Parameters
    ----------
    rows : sequence of (str, value)
        Label and value; blanks become ``"not recorded"``.
    columns : int
        How many pairs stand side by side.
    share : float
        Of the text's width that they take.

    Returns
    -------
    Table
        Rows stay whole.
    """
    label, value = (0.3, 0.7) if columns == 1 else (0.4 / columns, 0.6 / columns)
    widths = [part * share * TEXT_WIDTH for part in (label, value) * columns]
    data: list[list[Any]] = []
    for first in range(0, len(rows), columns):
        line = list(rows[first : first + columns])
        line += [("", "")] * (columns - len(line))
        data += _rows([cell for pair in line for cell in _pair(*pair)], widths)
    tints = [("BACKGROUND", (2 * c, 0), (2 * c, -1), TINT) for c in range(columns)]
    return _table(data, widths, [*_LINES, *tints])


def together(content: Story) -> Table:
    """Return content that stays on one page, lower than a page.

    Parameters
    ----------
    content : list of Flowable
        What belongs together.

    Returns
    -------
    Table
        One cell without lines.
    """
    bare = [(f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
    return _table([[content]], [TEXT_WIDTH], [("FONT", (0, 0), (-1, -1), REGULAR, SIZE), *bare])


def side_by_side(left: Story, right: Story, share: float) -> Table:
    """Return two contents beside each other on one page.

    Parameters
    ----------
    left, right : list of Flowable
        The contents.
    share : float
        Of the text's width that the left one takes.

    Returns
    -------
    Table
        Two cells without lines.
    """
    bare = [(f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")]
    top = ("VALIGN", (0, 0), (-1, -1), "TOP")
    widths = [share * TEXT_WIDTH, (1 - share) * TEXT_WIDTH]
    return _table([[left, right]], widths, [("FONT", (0, 0), (-1, -1), REGULAR, SIZE), top, *bare])


def boxed(texts: Sequence[str]) -> Table:
    """Return sentences that must not be overlooked, in a frame.

    Parameters
    ----------
    texts : sequence of str
        The sentences, at least one.

    Returns
    -------
    Table
        One cell with heavy lines.
    """
    words = [[paragraph(text, LABEL)] for text in texts]
    frame = ("BOX", (0, 0), (-1, -1), 1.5, INK)
    return _table(words, [TEXT_WIDTH], [*_LINES[:-1], frame])


def bullets(texts: Sequence[str]) -> Story:
    """Return texts as paragraphs, each with a dash before it.

    Parameters
    ----------
    texts : sequence of str
        The texts.

    Returns
    -------
    list of Flowable
        One paragraph for each.
    """
    return [paragraph(f"– {text}") for text in texts]

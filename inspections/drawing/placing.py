"""Finding places for texts inside a box, where they cover neither each other nor the lines that matter."""

from collections.abc import Sequence
from itertools import pairwise

from inspections.drawing.labels import LINE, text_width
from inspections.drawing.shapes import Fill, Point, Rect, Shape, Text
from inspections.drawing.sheet import Frame

Box = tuple[float, float, float, float]  # left, top, width, height [px]


def boxed(text: Text, *, pad: float = 2.0) -> list[Shape]:
    """Return a text upon a piece of plain paper, for where lines or hatches run behind it.

    Parameters
    ----------
    text : Text
        The text.
    pad : float
        Paper around it. [px]

    Returns
    -------
    list of Shape
        The paper, then the text.
    """
    x, y, width, height = text_box(text)
    return [Rect(x - pad, y, width + 2 * pad, height, Fill("paper"), role="paper"), text]


def text_box(text: Text) -> Box:
    """Return the room that a text takes.

    Parameters
    ----------
    text : Text
        The text.

    Returns
    -------
    tuple of float
        Left, top, width and height. [px]
    """
    width = text_width(text.content, text.size, bold=text.bold)
    shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor]
    return text.x - shift * width, text.y - text.size, width, text.size * LINE


def dense(points: Sequence[Point], step: float = 4.0) -> list[Point]:
    """Return points along a line that lie close enough to tell what the line runs through.

    Parameters
    ----------
    points : sequence of Point
        Corners of the line.
    step : float
        The most distance wanted. [px]

    Returns
    -------
    list of Point
        The corners with points between.
    """
    found = list(points[:1])
    for (x0, y0), (x1, y1) in pairwise(points):
        parts = int(max(abs(x1 - x0), abs(y1 - y0)) / step) + 1
        found += [(x0 + (x1 - x0) * k / parts, y0 + (y1 - y0) * k / parts) for k in range(1, parts + 1)]
    return found


def hidden(box: Box, taken: Sequence[Box], drawn: Sequence[Point]) -> bool:
    """Return whether a text in a box would cover another text or a line.

    Parameters
    ----------
    box : Box
        Room of the text.
    taken : sequence of Box
        Rooms of other texts.
    drawn : sequence of Point
        Close points of the line.

    Returns
    -------
    bool
        True where they meet.
    """
    x, y, width, height = box
    over = any(x < a + w + 3 and a < x + width + 3 and y < b + h and b < y + height for a, b, w, h in taken)
    return over or any(x - 2 <= px <= x + width + 2 and y - 2 <= py <= y + height + 2 for px, py in drawn)


def freest(tried: Sequence[Text], taken: Sequence[Box], *drawn: Sequence[Point]) -> Text:
    """Return the first text that covers nothing, giving way one kind of line at a time; at last the first of all.

    Parameters
    ----------
    tried : sequence of Text
        The same text at several places, the best first; at least one.
    taken : sequence of Box
        Rooms of other texts.
    *drawn : sequence of Point
        Close points of lines, one sequence for each kind, those first that may least be covered.

    Returns
    -------
    Text
        The text at its place.
    """
    for kinds in range(len(drawn), 0, -1):
        lines = [point for kind in drawn[:kinds] for point in kind]
        for text in tried:
            if not hidden(text_box(text), taken, lines):
                return text
    return tried[0]


def lies_in(frame: Frame, text: Text) -> bool:
    """Return whether a text lies within a box.

    Parameters
    ----------
    frame : Frame
        The box.
    text : Text
        The text.

    Returns
    -------
    bool
        True where no part of it is outside.
    """
    left, top, width, height = text_box(text)
    return left >= frame.left and left + width <= frame.right and top >= frame.top and top + height <= frame.bottom

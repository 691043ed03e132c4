"""A small picture of ninety days in which something comes due: between which days, on a line with a mark each month."""

from typing import Final

from inspections.drawing.shapes import Fill, Line, Picture, Polygon, Rect, Shape, Stroke

HORIZON_D: Final = 90
MARK_D: Final = 30
WIDTH, HEIGHT = 180.0, 20.0
EDGE: Final = 4.0
HIGH: Final = 10.0
LEAST: Final = 3.0  # of a bar, so that one day is seen [px]
BAR: Final = Fill("sky")
INK: Final = Fill("ink")


def due_band(first: int | None, last: int | None, words: str) -> Picture:
    """Return the next ninety days with the range in which something is reached.

    Parameters
    ----------
    first : int or None
        The first day on which it may be reached, from today; None where none can be foretold. [d]
    last : int or None
        The last day; None where none can be foretold, and the bar runs on to the end. [d]
    words : str
        The same in words, for who does not see it.

    Returns
    -------
    Picture
        A line with a mark every thirty days and a bar from the first day to the last. A bar that is reached today
        begins at the left end; an arrow at the right end says that it goes on beyond.
    """
    middle = HEIGHT / 2
    shapes: list[Shape] = [Line((_x(0), middle), (_x(HORIZON_D), middle))]
    for day in range(0, HORIZON_D + 1, MARK_D):
        shapes.append(Line((_x(day), middle - HIGH / 2), (_x(day), middle + HIGH / 2), Stroke("ink", 0.7)))
    if first is not None and first <= HORIZON_D:
        end = HORIZON_D if last is None else min(last, HORIZON_D)
        left, right = _x(first), max(_x(end), _x(first) + LEAST)
        shapes.append(Rect(left, middle - HIGH / 2, right - left, HIGH, BAR, role="range"))
        shapes += _outline(left, right, middle)
        if last is None or last > HORIZON_D:
            shapes.append(_arrow(_x(HORIZON_D), middle))
    return Picture(WIDTH, HEIGHT, tuple(shapes), "Due within ninety days", words)


def _x(day: float) -> float:
    return round(EDGE + (WIDTH - 4 * EDGE) * day / HORIZON_D, 1)


def _outline(left: float, right: float, middle: float) -> list[Shape]:
    top, foot = middle - HIGH / 2, middle + HIGH / 2
    corners = [(left, top), (right, top), (right, foot), (left, foot), (left, top)]
    return [Line(a, b, Stroke("ink", 1.2), role="edge") for a, b in zip(corners, corners[1:], strict=False)]


def _arrow(x: float, y: float) -> Shape:
    return Polygon(((x + 2, y - 5), (x + 9, y), (x + 2, y + 5)), INK, role="beyond")

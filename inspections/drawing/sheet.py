"""The sheet a picture is drawn on: where its parts stand, its axes, and the looks of its lines and surfaces."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from engines.charts import LimitChart
from inspections.drawing.bands import levels_of
from inspections.drawing.labels import BOLD_EM, LINE, spread, text_width, wrapped
from inspections.drawing.scale import Scale, value_ticks
from inspections.drawing.shapes import Fill, Hatch, Line, Shape, Stroke, Text
from inspections.drawing.words import figure

NARROW = 600.0  # below this width, letters of a size for phones and paper [px]
SMALL, LARGE = 11.0, 14.0

HATCHES = (
    Hatch("slant", (45.0,), 9.0, Fill("sky", 0.25)),
    Hatch("back", (-45.0,), 5.5, Fill("orange", 0.3)),
    Hatch("cross", (45.0, -45.0), 7.0, Fill("purple", 0.35)),
    Hatch("grid", (0.0, 90.0), 5.0, Fill("purple", 0.5)),
)
UNSEEN = Hatch("unseen", (90.0,), 3.0)
SHADE = Fill("blue", 0.55)

TRACE = Stroke("ink", 1.7)
LIMIT = Stroke("vermillion", 2.2, (9.0, 4.0))
LEVEL = Stroke("ink", 0.8, (2.0, 3.0))
THIN = Stroke("ink", 0.7)
GAP_EDGE = Stroke("ink", 0.9, (4.0, 2.0))


def letter_size(width: float) -> float:
    """Return the size of letters for a picture of a width.

    Parameters
    ----------
    width : float
        The picture's width. [px]

    Returns
    -------
    float
        At least 10 px where a narrow picture is shown on a phone with margins of its own. [px]
    """
    return SMALL if width < NARROW else LARGE


def hatch_of(severity: int) -> Hatch:
    """Return the hatch of an area by its place among the chart's areas; beyond the fourth, the fourth's.

    Parameters
    ----------
    severity : int
        Place of the area, mildest 0.

    Returns
    -------
    Hatch
        Denser with severity, so that the order shows without colour.
    """
    return HATCHES[min(severity, len(HATCHES) - 1)]


@dataclass(frozen=True)
class Frame:
    """The box of values, the size of letters, where texts end on the right, and where the lying axis is. [px]"""

    left: float
    right: float
    top: float
    bottom: float
    size: float
    margin: float
    foot: float

    @property
    def line(self) -> float:
        """Return the distance of two baselines."""
        return self.size * LINE


@dataclass(frozen=True)
class MarginLabel:
    """A text beside the box, at the height of what it names."""

    y: float
    lines: tuple[str, ...]
    bold: bool = False

    def width(self, size: float) -> float:
        """Return the room its longest line takes. [px]"""
        return max(text_width(line, size, bold=self.bold) for line in self.lines)


def margin_label(y: float, text: str, letters: int, *, bold: bool = False) -> MarginLabel:
    """Return a text broken into lines for the margin.

    Parameters
    ----------
    y : float
        Height of what it names. [px]
    text : str
        The text.
    letters : int
        The most letters of a line.
    bold : bool
        Whether it is set in bold.

    Returns
    -------
    MarginLabel
        The label.
    """
    return MarginLabel(y, tuple(wrapped(text, letters)), bold)


def _margin_centres(labels: Sequence[MarginLabel], size: float, top: float, bottom: float) -> list[float]:
    heights = [len(label.lines) * size * LINE for label in labels]
    return spread([label.y for label in labels], heights, top - size * LINE, bottom + size * LINE)


def margin_shift(labels: Sequence[MarginLabel], size: float, top: float, bottom: float) -> float:
    """Return how far the farthest of some labels has to be moved from what it names.

    Parameters
    ----------
    labels : sequence of MarginLabel
        The labels.
    size : float
        Size of letters. [px]
    top, bottom : float
        Ends of the box. [px]

    Returns
    -------
    float
        The distance. [px]
    """
    centres = _margin_centres(labels, size, top, bottom)
    return max(abs(centre - label.y) for label, centre in zip(labels, centres, strict=True))


def margin_shapes(labels: Sequence[MarginLabel], frame: Frame) -> list[Shape]:
    """Return labels to the right of the box, moved apart, each led to what it names.

    Parameters
    ----------
    labels : sequence of MarginLabel
        The labels.
    frame : Frame
        The box.

    Returns
    -------
    list of Shape
        Lines and texts.
    """
    centres = _margin_centres(labels, frame.size, frame.top, frame.bottom)
    shapes: list[Shape] = []
    for label, centre in zip(labels, centres, strict=True):
        shapes.append(Line((frame.right, label.y), (frame.right + 7, centre), THIN, role="leader"))
        for k, line in enumerate(label.lines):
            baseline = centre + (k + 0.8 - len(label.lines) / 2) * frame.line
            shapes.append(Text(frame.right + 10, baseline, line, frame.size, bold=label.bold))
    return shapes


def level_ticks(chart: LimitChart, scale: Scale, size: float) -> list[tuple[float, str]]:
    """Return a chart's levels and, where these leave room, round values.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    scale : Scale
        Scale of values.
    size : float
        Size of letters. [px]

    Returns
    -------
    list of (float, str)
        Values and their texts. [chart's unit]
    """
    ticks = [level for level in levels_of(chart) if scale.low <= level <= scale.high]
    for low, high in pairwise(scale.values):
        room = abs(scale.at(high) - scale.at(low)) / (2.4 * size)
        for value in value_ticks(low, high, int(room)):
            if all(abs(scale.at(value) - scale.at(tick)) > 1.3 * size for tick in ticks):
                ticks.append(value)
    return [(value, figure(value, places=2)) for value in ticks]


def value_axis(frame: Frame, scale: Scale, ticks: Sequence[tuple[float, str]]) -> list[Shape]:
    """Return the upright axis with its marks.

    Parameters
    ----------
    frame : Frame
        The box.
    scale : Scale
        Scale of values.
    ticks : sequence of (float, str)
        Values marked and their texts. [unit of the scale]

    Returns
    -------
    list of Shape
        Lines and texts, moved apart where marks lie close.
    """
    heights = [scale.at(value) for value, _ in ticks]
    centres = spread(heights, [frame.size] * len(ticks), frame.top - frame.size, frame.bottom + frame.size)
    shapes: list[Shape] = [Line((frame.left, frame.top), (frame.left, frame.foot))]
    for (_, text), y, centre in zip(ticks, heights, centres, strict=True):
        shapes.append(Line((frame.left - 5, centre), (frame.left, y), THIN))
        shapes.append(Text(frame.left - 7, centre + 0.36 * frame.size, text, frame.size, "end", role="tick"))
    return shapes


def level_axis(frame: Frame, scale: Scale, ticks: Sequence[tuple[float, str]], title: str) -> list[Shape]:
    """Return the lying axis with its marks and its title.

    Parameters
    ----------
    frame : Frame
        The box; the axis is at its foot.
    scale : Scale
        Scale from left to right.
    ticks : sequence of (float, str)
        Places marked and their texts. [unit of the scale]
    title : str
        What the axis measures, with its unit.

    Returns
    -------
    list of Shape
        Lines and texts; a text that would run into the one before it is left out.
    """
    shapes: list[Shape] = [Line((frame.left, frame.foot), (frame.right, frame.foot))]
    baseline, free = frame.foot + 5 + frame.size, -frame.size
    for place, text in ticks:
        x, half = scale.at(place), text_width(text, frame.size) / 2
        shapes.append(Line((x, frame.foot), (x, frame.foot + 5), THIN))
        if x - half > free:
            shapes.append(Text(x, baseline, text, frame.size, "middle", role="tick"))
            free = x + half + 2
    middle = (frame.left + frame.right) / 2
    shapes.append(Text(middle, baseline + frame.line, title, frame.size, "middle", role="axis-title"))
    return shapes


def title_shapes(text: str, width: float, size: float) -> list[Shape]:
    """Return a heading across the top of the picture.

    Parameters
    ----------
    text : str
        The heading.
    width : float
        Width of the picture. [px]
    size : float
        Size of letters. [px]

    Returns
    -------
    list of Shape
        One text for each line it takes.
    """
    lines = wrapped(text, int((width - 8) / (size * BOLD_EM)))
    return [Text(4, size * (1.05 + LINE * k), line, size, bold=True, role="axis-title") for k, line in enumerate(lines)]

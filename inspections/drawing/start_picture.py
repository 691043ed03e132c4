"""The picture of one start: its course around light-off, against the type's envelope and the engine's own starts."""

from dataclasses import dataclass
from itertools import groupby
from math import isfinite

import numpy as np

from engines.start_curves import GRID, Course, Spread
from engines.start_rules import Corners
from engines.traces import Floats
from engines.units import symbol_of
from inspections.drawing.labels import EM, LINE, text_width
from inspections.drawing.scale import Scale, value_ticks
from inspections.drawing.series import thinned_rows
from inspections.drawing.shapes import Fill, Line, Picture, Point, Polygon, Polyline, Shape, Stroke, Text
from inspections.drawing.sheet import (
    LIMIT,
    THIN,
    TRACE,
    Frame,
    letter_size,
    level_axis,
    margin_label,
    margin_shapes,
    title_shapes,
    value_axis,
)
from inspections.drawing.words import count_text, figure, quantity, sentence_case

SPREAD = Fill("sky", 0.35)
MEDIAN = Stroke("blue", 1.4, (6.0, 3.0))
ENVELOPE = Stroke("vermillion", 1.8, (2.0, 3.0))


@dataclass(frozen=True)
class StartScene:
    """One channel of a start; times are from light-off, or from turning where there was none. [s, channel's unit]

    ``pieces`` are the stretches of valid samples without a gap, ``limit`` a value with what it is called.
    """

    label: str
    unit: str
    origin: str
    pieces: tuple[tuple[Floats, Floats], ...]
    spread: Spread
    envelope: Corners = ()
    envelope_words: str = "Envelope"
    limit: tuple[float, str] | None = None

    @property
    def samples(self) -> int:
        """Return how many samples the picture is drawn from."""
        return sum(int(times.size) for times, _ in self.pieces)


def pieces_of(times: Floats, values: Floats, origin_s: float, gap_s: float) -> tuple[tuple[Floats, Floats], ...]:
    """Return the stretches of a channel around a start, parted where it has a gap.

    Parameters
    ----------
    times : array of float, shape (n,)
        Times from the first row. [s]
    values : array of float, shape (n,)
        Samples, NaN where there is none. [channel's unit]
    origin_s : float
        The moment from which times are counted. [s]
    gap_s : float
        The longest step that joins two samples. [s]

    Returns
    -------
    tuple of pairs of arrays
        Times from the origin and values, within the moments that the picture shows. [s, channel's unit]
    """
    since = times - origin_s
    kept = np.isfinite(values) & (since >= GRID[0]) & (since <= GRID[-1])
    since, values = since[kept], values[kept]
    cuts = np.flatnonzero(np.diff(since) > gap_s) + 1
    parts = zip(np.split(since, cuts), np.split(values, cuts), strict=True)
    return tuple((times, values) for times, values in parts if times.size)


def start_summary(scene: StartScene) -> str:
    """Return what the picture shows, in sentences.

    Parameters
    ----------
    scene : StartScene
        The start.

    Returns
    -------
    str
        What is drawn, from how many samples, with how many gaps, and what it is held against.
    """
    span = f"from {-GRID[0]:g} s before {scene.origin} to {GRID[-1]:g} s after it"
    if not scene.pieces:
        return sentence_case(f"{scene.label} is not recorded {span}.")
    gaps = len(scene.pieces) - 1
    said = [
        f"{scene.label} {span}: {count_text(scene.samples, 'sample')}, {count_text(gaps, 'gap') if gaps else 'no gap'}."
    ]
    if any(value is not None for value in scene.spread.middle):
        said.append(
            f"Dashed: the median of {count_text(scene.spread.count, 'earlier start')}; shaded: their middle half."
        )
    else:
        said.append("Too few earlier starts of this engine are kept to show a median.")
    if scene.limit:
        said.append(f"{scene.limit[1]}: {quantity(scene.limit[0], scene.unit)}.")
    return " ".join(said)


def start_picture(scene: StartScene, *, width: float, height: float) -> Picture:
    """Return the picture of one channel of a start.

    Parameters
    ----------
    scene : StartScene
        The start.
    width, height : float
        Size of the picture. [px]

    Returns
    -------
    Picture
        The samples as a line that breaks at gaps, every extreme drawn; the type's envelope as a dotted line with its
        name; of the engine's earlier starts the median as a dashed line and the middle half as a surface.
    """
    size = letter_size(width)
    heading = title_shapes(f"{scene.label}, {symbol_of(scene.unit)}", width, size)
    legend, foot = _legend(scene, len(heading) * size * LINE + 1.4 * size, width, size)
    top, bottom = foot + 0.4 * size, height - 2 * LINE * size - 10
    y = _value_scale(scene, top, bottom)
    letters = int(0.2 * width / (size * EM))
    margin = []
    if scene.limit:
        words = f"{scene.limit[1]} {quantity(scene.limit[0], scene.unit)}"
        margin.append(margin_label(y.at(scene.limit[0]), words, letters, bold=True))
    ticks = [(value, figure(value)) for value in value_ticks(y.low, y.high, int((bottom - top) / (2.4 * size)))]
    left = max(text_width(text, size) for _, text in ticks) + 9
    right = width - max((label.width(size) for label in margin), default=0.0) - 12
    frame = Frame(left, right, top, bottom, size, margin=width - 4, foot=bottom)
    x = Scale((GRID[0], GRID[-1]), (left, right))
    shapes = [
        *heading,
        *legend,
        *_spread(scene.spread, x, y),
        *([Line((left, y.at(scene.limit[0])), (right, y.at(scene.limit[0])), LIMIT, "limit")] if scene.limit else []),
        *_line(_within(scene.envelope), x, y, ENVELOPE, "envelope"),
        Line((x.at(0), top), (x.at(0), bottom), THIN, role="origin"),
        *(_trace(piece, x, y) for piece in scene.pieces),
        *value_axis(frame, y, ticks),
        *level_axis(frame, x, [(float(at), f"{at}") for at in range(-10, 61, 10)], f"Seconds from {scene.origin}"),
        *margin_shapes(margin, frame),
    ]
    return Picture(width, height, tuple(shapes), f"{scene.label} of the start", start_summary(scene))


def _within(corners: Corners) -> Corners:
    """Return an envelope between the first and the last moment that are drawn."""
    if not corners:
        return ()
    at, values = zip(*corners, strict=True)
    moments = sorted({max(at[0], GRID[0]), min(at[-1], GRID[-1]), *(t for t in at if GRID[0] <= t <= GRID[-1])})
    return tuple((moment, float(np.interp(moment, at, values))) for moment in moments)


def _value_scale(scene: StartScene, top: float, bottom: float) -> Scale:
    values = [value for _, found in scene.pieces for value in (float(found.min()), float(found.max()))]
    values += [value for _, value in _within(scene.envelope)]
    values += [value for course in (scene.spread.low, scene.spread.high) for value in course if value is not None]
    values += [scene.limit[0]] if scene.limit else []
    low, high = min(values, default=0.0), max(values, default=1.0)
    room = 0.05 * (high - low) or 1.0
    return Scale((low - room, high + room), (bottom, top))


def _trace(piece: tuple[Floats, Floats], x: Scale, y: Scale) -> Shape:
    times, values = piece
    kept = thinned_rows(times, values, max(int(abs(x.at(times[-1]) - x.at(times[0]))), 1))
    points = zip(times[kept].tolist(), values[kept].tolist(), strict=True)
    return Polyline(tuple((round(x.at(at), 2), round(y.at(value), 2)) for at, value in points), TRACE)


def _line(points: Corners, x: Scale, y: Scale, stroke: Stroke, role: str) -> list[Shape]:
    return [Polyline(tuple((x.at(at), y.at(value)) for at, value in points), stroke, role=role)] if points else []


def _spread(spread: Spread, x: Scale, y: Scale) -> list[Shape]:
    """Return the middle half of the earlier starts as surfaces and their median as lines, broken where not known."""
    rows = list(zip(GRID, spread.low, spread.middle, spread.high, strict=True))
    shapes: list[Shape] = []
    for is_known, group in groupby(rows, key=lambda row: row[2] is not None):
        found = [(at, low or 0.0, middle or 0.0, high or 0.0) for at, low, middle, high in group]
        if is_known:
            below: tuple[Point, ...] = tuple((x.at(at), y.at(low)) for at, low, _, _ in found)
            above: tuple[Point, ...] = tuple((x.at(at), y.at(high)) for at, _, _, high in found)
            shapes.append(Polygon((*above, *below[::-1]), SPREAD, role="spread"))
            shapes += _line(tuple((at, middle) for at, _, middle, _ in found), x, y, MEDIAN, "median")
    return shapes


def _legend(scene: StartScene, top: float, width: float, size: float) -> tuple[list[Shape], float]:
    """Return each kind of line with its words, and the foot of the lines that they take."""
    kinds = [(TRACE, "this start")]
    if any(value is not None for value in scene.spread.middle):
        kinds.append((MEDIAN, f"median of {scene.spread.count} earlier starts, middle half shaded"))
    if scene.envelope:
        kinds.append((ENVELOPE, scene.envelope_words))
    shapes: list[Shape] = []
    x, y = 4.0, top
    for stroke, words in kinds:
        wide = text_width(words, size) + 4 * size
        if x > 4 and x + wide > width:
            x, y = 4.0, y + size * LINE
        shapes.append(Line((x, y - 0.35 * size), (x + 2.4 * size, y - 0.35 * size), stroke, role="legend"))
        shapes.append(Text(x + 2.8 * size, y, words, size, role="legend"))
        x += wide
    return shapes, y + 0.6 * size


def start_table(
    scene: StartScene, moments: tuple[int, ...] = (-5, 0, 2, 5, 10, 15, 20, 30, 45, 60)
) -> list[dict[str, str]]:
    """Return the picture's facts at some moments.

    Parameters
    ----------
    scene : StartScene
        The start.
    moments : tuple of int
        Moments of the grid. [s]

    Returns
    -------
    list of dict of str to str
        One for each moment: heading to text.
    """
    return [
        {
            "Moment": f"{at:+d} s" if at else scene.origin,
            "This start": _said(_value_at(scene, float(at)), scene.unit),
            "Median of earlier starts": _said(_at(scene.spread.middle, at), scene.unit),
            "Middle half": _half(scene, at),
            scene.envelope_words: _said(_envelope_at(scene.envelope, float(at)), scene.unit),
        }
        for at in moments
    ]


def _at(course: Course, at: int) -> float | None:
    return course[at - int(GRID[0])]


def _said(value: float | None, unit: str) -> str:
    return "–" if value is None or not isfinite(value) else quantity(value, unit)


def _half(scene: StartScene, at: int) -> str:
    low, high = _at(scene.spread.low, at), _at(scene.spread.high, at)
    return "–" if low is None or high is None else f"{figure(low)} to {quantity(high, scene.unit)}"


def _value_at(scene: StartScene, at: float) -> float | None:
    for times, values in scene.pieces:
        if times[0] <= at <= times[-1]:
            return float(np.interp(at, times, values))
    return None


def _envelope_at(corners: Corners, at: float) -> float | None:
    if not corners or not corners[0][0] <= at <= corners[-1][0]:
        return None
    moments, values = zip(*corners, strict=True)
    return float(np.interp(at, moments, values))

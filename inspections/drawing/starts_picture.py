"""The picture of a year of an engine's starts: each start's peak against the starting limit."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from math import isfinite

from engines.charts import Channel, LimitChart
from engines.units import symbol_of
from inspections.drawing.facts import limit_text, value_text
from inspections.drawing.labels import EM, LINE, glued, text_width
from inspections.drawing.placing import Box, boxed, freest, lies_in, text_box
from inspections.drawing.scale import Scale, round_step, value_ticks
from inspections.drawing.shapes import Fill, Line, Marker, Picture, Polygon, Shape, Text
from inspections.drawing.sheet import (
    LEVEL,
    LIMIT,
    THIN,
    Frame,
    MarginLabel,
    letter_size,
    level_axis,
    margin_label,
    margin_shapes,
    title_shapes,
    value_axis,
)
from inspections.drawing.words import count_text, figure, quantity, sentence_case

MOST_DOTS = 480  # above it only the highest and the lowest of each column are drawn
COLUMNS = 60
MOST_NAMED = 3
COLD_SHARE = 0.2  # of the box's height, for what stays far below every start that lit
SHIFTS = (-0.9, 1.9, -2.3, 3.3, -3.7)  # of a text from the mark it names, in sizes of letters
INK = Fill("ink")
OUTCOMES = {
    "started": "started",
    "aborted": "aborted after light-off",
    "motoring": "motored, no light-off",
    "cut": "cut off by the end of the record",
}


@dataclass(frozen=True)
class StartDot:
    """One start: when, the peak of its temperature or None where none was recorded, and how it ended. [chart's unit]"""

    at: datetime
    peak: float | None
    outcome: str


@dataclass(frozen=True)
class StartsScene:
    """The starts between two days, both included, with the limit they are held against; None where there is none."""

    dots: tuple[StartDot, ...]
    first: date
    last: date
    channel: Channel
    unit: str
    chart: LimitChart | None

    @property
    def shown(self) -> tuple[StartDot, ...]:
        """Return the starts that have a peak, in order of time."""
        known = (dot for dot in self.dots if dot.peak is not None and isfinite(dot.peak))
        return tuple(sorted(known, key=lambda dot: dot.at))

    def day_of(self, moment: datetime) -> float:
        """Return a moment in days from the first midnight."""
        return (moment.date() - self.first).days + (moment.hour * 60 + moment.minute) / 1440

    def over(self, dot: StartDot) -> float | None:
        """Return how far a peak is beyond the limit, negative where it is within; None where one is not known."""
        if dot.peak is None or self.chart is None:
            return None
        return self.chart.sign * (dot.peak - self.chart.limit)

    def is_beyond(self, dot: StartDot) -> bool:
        """Return whether a peak is beyond the limit; the limit itself only where the chart says so."""
        over = self.over(dot)
        if over is None or self.chart is None:
            return False
        return over >= 0 if self.chart.on_boundary == "beyond" else over > 0


def thinned_dots(scene: StartsScene) -> tuple[StartDot, ...]:
    """Return the starts that are drawn: all of them, or of very many the extremes.

    Parameters
    ----------
    scene : StartsScene
        The starts.

    Returns
    -------
    tuple of StartDot
        In order of time. Of more than 480, the highest and the lowest of each outcome in each of 60 equal stretches,
        so that no start that stands out is missing.
    """
    dots = scene.shown
    if len(dots) <= MOST_DOTS:
        return dots
    days = (scene.last - scene.first).days + 1
    groups: dict[tuple[int, str], list[StartDot]] = {}
    for dot in dots:
        groups.setdefault((int(scene.day_of(dot.at) * COLUMNS / days), dot.outcome), []).append(dot)
    kept = {f(group, key=_peak) for group in groups.values() for f in (min, max)}
    return tuple(sorted(kept, key=lambda dot: dot.at))


def _peak(dot: StartDot) -> float:
    return dot.peak or 0.0


def against_words(scene: StartsScene, dot: StartDot) -> str:
    """Return how a start stands against the limit.

    Parameters
    ----------
    scene : StartsScene
        The starts and the limit.
    dot : StartDot
        One of them.

    Returns
    -------
    str
        For example ``"above the limit by 12 °C"`` or ``"38 °C short of the limit"``.
    """
    over = scene.over(dot)
    if over is None:
        return "no peak recorded" if dot.peak is None else "no starting limit in force"
    distance = quantity(abs(over), scene.unit)
    if over == 0:
        return "at the limit"
    side = "above" if scene.chart is None else scene.chart.side
    return f"{side} the limit by {distance}" if over > 0 else f"{distance} short of the limit"


def start_facts(scene: StartsScene) -> list[dict[str, str]]:
    """Return the facts of the picture in words, the newest start first.

    Parameters
    ----------
    scene : StartsScene
        The starts.

    Returns
    -------
    list of dict of str to str
        One for each start, those without a peak too: heading to text.
    """
    return [
        {
            "Start": f"{dot.at:%Y-%m-%d %H:%M}",
            "How it ended": OUTCOMES.get(dot.outcome, dot.outcome),
            "Peak": "not recorded" if dot.peak is None else quantity(dot.peak, scene.unit),
            "Against the limit": against_words(scene, dot),
        }
        for dot in sorted(scene.dots, key=lambda dot: dot.at, reverse=True)
    ]


def summary_of(scene: StartsScene) -> str:
    """Return what the picture shows, in sentences.

    Parameters
    ----------
    scene : StartsScene
        The starts.

    Returns
    -------
    str
        How many, how they ended, how many went beyond the limit, the highest, and how many have no peak.
    """
    if not scene.dots:
        return "No start was recorded in these twelve months."
    ended = [(sum(dot.outcome == name for dot in scene.dots), words) for name, words in OUTCOMES.items()]
    parts = [f"{count_text(len(scene.dots), 'start')}: {', '.join(f'{n} {words}' for n, words in ended if n)}."]
    if scene.chart is not None:
        beyond = sum(map(scene.is_beyond, scene.dots))
        limit = limit_text(scene.chart)
        parts.append(f"{beyond or 'None'} went beyond the limit of {limit} ({scene.chart.name}).")
    if scene.shown:
        top = max(scene.shown, key=_peak)
        parts.append(f"The highest peak was {quantity(_peak(top), scene.unit)} on {top.at:%Y-%m-%d}.")
    unknown = len(scene.dots) - len(scene.shown)
    return " ".join([*parts, *([f"{unknown} without a peak in the table alone."] if unknown else [])])


def _value_scale(scene: StartsScene, top: float, bottom: float) -> Scale:
    """Return the scale of values: of two parts where cold motoring would press all that lit together."""
    lit = [_peak(dot) for dot in scene.shown if dot.outcome != "motoring"]
    if scene.chart is not None:
        lit += [scene.chart.limit, *(area.allowed[0].value for area in scene.chart.areas)]
    every = [*lit, *(_peak(dot) for dot in scene.shown)] or [0.0, 1.0]
    low, high = min(lit or every), max(every)
    room = 0.12 * (high - low) or 1.0
    turn = low - room
    if min(every) >= turn:
        return Scale((turn, high + room), (bottom, top))
    step = round_step(high + room - turn, 8)
    turn = step * (turn // step)
    return Scale((min(every) - room, turn, high + room), (bottom, bottom - COLD_SHARE * (bottom - top), top))


def _limits(scene: StartsScene) -> list[tuple[float, str]]:
    """Return the limit and where each area begins, with words; what stands at the limit itself goes with it."""
    if scene.chart is None:
        return []
    found: dict[float, str] = {scene.chart.limit: f"Limit {glued(limit_text(scene.chart))}"}
    for area in scene.chart.areas:
        found.setdefault(area.allowed[0].value, f"area {area.name} begins")
    return list(found.items())


def _months(scene: StartsScene) -> list[tuple[float, str]]:
    """Return the first of each month within the span, by its name."""
    ticks = []
    day = scene.first.replace(day=1)
    while day <= scene.last:
        if day >= scene.first:
            ticks.append(((day - scene.first).days + 0.0, f"{day:%b}"))
        day = (day + timedelta(days=32)).replace(day=1)
    return ticks


def _disc(x: float, y: float, r: float) -> Shape:
    return Marker(x, y, r, role="started")


def _diamond(x: float, y: float, r: float) -> Shape:
    return Polygon(((x, y - 1.5 * r), (x + 1.5 * r, y), (x, y + 1.5 * r), (x - 1.5 * r, y)), INK, role="aborted")


def _square(x: float, y: float, r: float) -> Shape:
    return Polygon(((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)), INK, role="motoring")


def _triangle(x: float, y: float, r: float) -> Shape:
    return Polygon(((x, y - 1.4 * r), (x + 1.4 * r, y + r), (x - 1.4 * r, y + r)), INK, role="cut")


SHAPES: dict[str, Callable[[float, float, float], Shape]] = {
    "started": _disc,
    "aborted": _diamond,
    "motoring": _square,
    "cut": _triangle,
}


def _legend(scene: StartsScene, top: float, width: float, size: float) -> tuple[list[Shape], float]:
    """Return the shapes that occur with their words, and the foot of the lines that they take."""
    shapes: list[Shape] = []
    x, y = 4.0, top
    for name in [name for name in OUTCOMES if any(dot.outcome == name for dot in scene.shown)]:
        wide = text_width(OUTCOMES[name], size) + 2.6 * size
        if x > 4 and x + wide > width:
            x, y = 4.0, y + size * LINE
        shapes.append(SHAPES[name](x + 0.6 * size, y - 0.35 * size, 0.32 * size))
        shapes.append(Text(x + 1.5 * size, y, OUTCOMES[name], size, role="legend"))
        x += wide
    return shapes, y + 0.6 * size


def _dots(scene: StartsScene, x: Scale, y: Scale, size: float) -> list[Shape]:
    radius = 0.28 * size
    return [
        SHAPES.get(dot.outcome, _disc)(round(x.at(scene.day_of(dot.at)), 2), round(y.at(_peak(dot)), 2), radius)
        for dot in thinned_dots(scene)
    ]


def _named(scene: StartsScene, x: Scale, y: Scale, frame: Frame) -> list[Shape]:
    """Return the values of the starts farthest beyond the limit, each where it hides no other."""
    if scene.chart is None:
        return []
    chart = scene.chart
    worst = sorted(filter(scene.is_beyond, scene.shown), key=lambda dot: -chart.sign * _peak(dot))[:MOST_NAMED]
    marks = [(x.at(scene.day_of(dot.at)), y.at(_peak(dot))) for dot in scene.shown]
    shapes: list[Shape] = []
    taken: list[Box] = []
    for dot in worst:
        words = f"{value_text(_peak(dot), chart)}, {dot.at:%Y-%m-%d}"
        half = text_width(words, frame.size, bold=True) / 2
        at = min(max(x.at(scene.day_of(dot.at)), frame.left + half + 2), frame.right - half - 2)
        heights = (y.at(_peak(dot)) + shift * frame.size for shift in SHIFTS)
        tried = [Text(at, height, words, frame.size, "middle", bold=True) for height in heights]
        text = freest([text for text in tried if lies_in(frame, text)] or tried, taken, marks)
        taken.append(text_box(text))
        shapes += boxed(text)
    return shapes


def starts_picture(scene: StartsScene, *, width: float, height: float) -> Picture:
    """Return the picture of the starts between two days.

    Parameters
    ----------
    scene : StartsScene
        The starts, peaks already in the chart's unit.
    width, height : float
        Size of the picture. Below a width of 600 letters are 11 px, otherwise 14 px. [px]

    Returns
    -------
    Picture
        One mark for each start, its shape and its words by how it ended; the limit as a labelled line, and a thin line
        where each area begins. A peak beyond the limit stands above the line; the farthest are written out.

    Notes
    -----
    Every figure written is a start's own. Of more than 480 starts only extremes are drawn; the table has all.
    """
    size = letter_size(width)
    heading = title_shapes(f"Peak {scene.channel.label.lower()} of each start, {symbol_of(scene.unit)}", width, size)
    top = len(heading) * size * LINE + 1.4 * size
    legend, foot = _legend(scene, top, width, size)
    bottom = height - 2 * LINE * size - 10
    y = _value_scale(scene, foot + size, bottom)
    letters = int(0.2 * width / (size * EM))
    limits = _limits(scene)
    margin = [margin_label(y.at(value), text, letters, bold=k == 0) for k, (value, text) in enumerate(limits)]
    for value in y.values[1:-1]:
        margin.append(margin_label(y.at(value), f"scale changes at {glued(quantity(value, scene.unit))}", letters))
    ticks = _ticks(y, size)
    frame = _frame(width, (foot + size, bottom), size, ticks, margin)
    x = Scale((0.0, (scene.last - scene.first).days + 1.0), (frame.left, frame.right))
    lines: list[Shape] = [
        Line((frame.left, y.at(value)), (frame.right, y.at(value)), *((LEVEL, "level") if k else (LIMIT, "limit")))
        for k, (value, _) in enumerate(limits)
    ]
    lines += [Line((frame.left, y.at(v)), (frame.right, y.at(v)), THIN, role="turn") for v in y.values[1:-1]]
    shapes = [
        *heading,
        *legend,
        *lines,
        *_dots(scene, x, y, size),
        *_named(scene, x, y, frame),
        *value_axis(frame, y, ticks),
        *level_axis(frame, x, _months(scene), f"{scene.first:%Y-%m-%d} to {scene.last:%Y-%m-%d}"),
        *margin_shapes(margin, frame),
    ]
    title = f"Peaks of the starts from {scene.first:%Y-%m-%d} to {scene.last:%Y-%m-%d}"
    return Picture(width, height, tuple(shapes), title, sentence_case(summary_of(scene)))


def _ticks(y: Scale, size: float) -> list[tuple[float, str]]:
    """Return round values with their texts, part by part of the scale."""
    found: dict[float, str] = {}
    for low, high in pairwise(y.values):
        room = abs(y.at(high) - y.at(low)) / (2.4 * size)
        found |= {value: figure(value) for value in value_ticks(low, high, int(room))}
    return sorted(found.items())


def _frame(
    width: float,
    box: tuple[float, float],
    size: float,
    ticks: Sequence[tuple[float, str]],
    margin: Sequence[MarginLabel],
) -> Frame:
    left = max(text_width(text, size) for _, text in ticks) + 9
    right = width - max((label.width(size) for label in margin), default=0.0) - 12
    return Frame(left, right, box[0], box[1], size, margin=width - 4, foot=box[1])

"""The picture of an engine's use: what a counter stood at, what it may come to, and where something is due."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from engines.forecast import WEEK_D, Use, use_within
from inspections.drawing.labels import EM, LINE, text_width
from inspections.drawing.placing import boxed
from inspections.drawing.scale import Scale, value_ticks
from inspections.drawing.shapes import Fill, Line, Marker, Picture, Polygon, Polyline, Shape, Stroke, Text
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
from inspections.drawing.words import figure

AHEAD_D: Final = 90
STEP_D: Final = 5
FAN: Final = Fill("sky", 0.35)
FAN_EDGE: Final = Stroke("blue", 1.2, (5.0, 3.0))
MOST_LIMITS: Final = 4
ROOM: Final = 1.5  # how far beyond what may be used limits are still drawn, in shares of it


@dataclass(frozen=True)
class UseScene:
    """The use of one counter: of each week, the newest first, what it stands at, and what is due.

    All amounts are in ``unit``. ``limits`` pairs what is due with the counter at which it is.
    """

    label: str
    unit: str
    weeks: tuple[float, ...]
    total: float
    use: Use | None
    today: date
    limits: tuple[tuple[str, float], ...] = ()

    @property
    def past(self) -> list[tuple[int, float]]:
        """Return days from today and what the counter stood at then, the oldest first."""
        points, value = [(0, self.total)], self.total
        for k, used in enumerate(self.weeks):
            value -= used
            points.append((-WEEK_D * (k + 1), value))
        return points[::-1]

    @property
    def ahead(self) -> list[tuple[int, float, float]]:
        """Return days from today with the least and the most that the counter may come to."""
        if self.use is None:
            return []
        found = [(0, self.total, self.total)]
        for day in range(STEP_D, AHEAD_D + 1, STEP_D):
            low, high = use_within(self.use, day)
            found.append((day, self.total + low, self.total + high))
        return found

    @property
    def drawn_limits(self) -> tuple[tuple[str, float], ...]:
        """Return the limits that are near enough to be drawn, the nearest first."""
        points = self.past
        most = max((high for _, _, high in self.ahead), default=self.total)
        span = max(most - points[0][1], 1.0)
        near = [limit for limit in self.limits if points[0][1] <= limit[1] <= most + ROOM * span]
        return tuple(sorted(near, key=lambda limit: limit[1])[:MOST_LIMITS])


def use_facts(scene: UseScene) -> list[dict[str, str]]:
    """Return the facts of the picture's past, the newest week first.

    Parameters
    ----------
    scene : UseScene
        The use.

    Returns
    -------
    list of dict of str to str
        One for each week: heading to text.
    """
    points = scene.past[::-1]
    return [
        {
            "From": f"{scene.today + timedelta(days=start + 1)}",
            "To": f"{scene.today + timedelta(days=end)}",
            "Used": _worded(start_value, end_value, scene.unit),
            "Stood at": f"{figure(end_value)} {scene.unit}".strip(),
        }
        for (end, end_value), (start, start_value) in zip(points, points[1:], strict=False)
    ]


def _worded(before: float, after: float, unit: str) -> str:
    return f"{figure(after - before)} {unit}".strip()


def use_summary(scene: UseScene) -> str:
    """Return what the picture shows, in sentences.

    Parameters
    ----------
    scene : UseScene
        The use.

    Returns
    -------
    str
        What the counter stands at, what it may come to within ninety days, and where what is drawn is due.
    """
    unit = f" {scene.unit}" if scene.unit else ""
    said = [f"{scene.label} stands at {figure(scene.total)}{unit}."]
    if scene.use is None:
        said.append("Too little was recorded to say what it may come to.")
    else:
        _, low, high = scene.ahead[-1]
        said.append(f"In {AHEAD_D} days it may come to {figure(low)} to {figure(high)}{unit}.")
    said += [f"{name} is due at {figure(value)}{unit}." for name, value in scene.drawn_limits]
    return " ".join(said)


def use_picture(scene: UseScene, *, width: float, height: float) -> Picture:
    """Return the picture of a counter's use.

    Parameters
    ----------
    scene : UseScene
        The use.
    width, height : float
        Size of the picture. [px]

    Returns
    -------
    Picture
        What the counter stood at as a line up to today, the range of what it may come to as a surface between two
        dashed lines, and where something is due as a labelled line across.
    """
    size = letter_size(width)
    heading = title_shapes(f"{scene.label} since new" + (f", {scene.unit}" if scene.unit else ""), width, size)
    top, bottom = (len(heading) + 0.6) * size * LINE, height - 2 * LINE * size - 10
    y = _value_scale(scene, top, bottom)
    letters = int(0.26 * width / (size * EM))
    limits = scene.drawn_limits
    margin = [margin_label(y.at(value), f"{name}: {figure(value)}", letters, bold=True) for name, value in limits]
    ticks = [(value, figure(value)) for value in value_ticks(y.low, y.high, int((bottom - top) / (2.4 * size)))]
    left = max(text_width(text, size) for _, text in ticks) + 9
    right = width - max((label.width(size) for label in margin), default=0.0) - 12
    frame = Frame(left, right, top, bottom, size, margin=width - 4, foot=bottom)
    x = Scale((float(scene.past[0][0]), float(AHEAD_D)), (left, right))
    shapes = [
        *heading,
        *_fan(scene, x, y),
        *(Line((left, y.at(v)), (right, y.at(v)), LIMIT, role="limit") for _, v in limits),
        Polyline(tuple((x.at(day), y.at(value)) for day, value in scene.past), TRACE),
        Line((x.at(0), top), (x.at(0), bottom), THIN, role="today"),
        Marker(x.at(0), y.at(scene.total), 0.28 * size),
        *boxed(Text(x.at(0) - 5, top + size, "today", size, "end")),
        *value_axis(frame, y, ticks),
        *level_axis(frame, x, _days(scene), "First of each month"),
        *margin_shapes(margin, frame),
    ]
    return Picture(width, height, tuple(shapes), f"{scene.label}: use and what is due", use_summary(scene))


def _fan(scene: UseScene, x: Scale, y: Scale) -> list[Shape]:
    ahead = scene.ahead
    if not ahead:
        return []
    low = tuple((x.at(day), y.at(least)) for day, least, _ in ahead)
    high = tuple((x.at(day), y.at(most)) for day, _, most in ahead)
    return [
        Polygon((*high, *low[::-1]), FAN, role="range"),
        Polyline(low, FAN_EDGE, role="range-edge"),
        Polyline(high, FAN_EDGE, role="range-edge"),
    ]


def _value_scale(scene: UseScene, top: float, bottom: float) -> Scale:
    values = [value for _, value in scene.past] + [high for _, _, high in scene.ahead]
    values += [value for _, value in scene.drawn_limits]
    low, high = min(values), max(values)
    room = 0.06 * (high - low) or 1.0
    return Scale((low - room, high + room), (bottom, top))


def _days(scene: UseScene) -> Sequence[tuple[float, str]]:
    first, last = (scene.today + timedelta(days=day) for day in (scene.past[0][0], AHEAD_D))
    ticks, day = [], first.replace(day=1)
    while day <= last:
        if day >= first:
            ticks.append((float((day - scene.today).days), f"{day:%b}"))
        day = (day + timedelta(days=32)).replace(day=1)
    return ticks

"""The picture of a margin's trend: a mark for each power check, the baseline, the slope, where nothing is left."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from engines.condition import DAY_S, ConditionTrend, MarginPoint
from engines.units import symbol_of
from inspections.drawing.labels import EM, LINE, text_width
from inspections.drawing.scale import Scale, value_ticks
from inspections.drawing.shapes import Line, Marker, Picture, Polygon, Shape, Text
from inspections.drawing.sheet import (
    LEVEL,
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
from inspections.drawing.words import count_text, figure, quantity

MONTHS_NAMED = 14  # up to so many months each has its name; of more, every third


@dataclass(frozen=True)
class TrendScene:
    """A trend with the name of its quantity, and what happened besides: moments with a word each."""

    trend: ConditionTrend
    label: str
    events: tuple[tuple[datetime, str], ...] = ()

    @property
    def first(self) -> datetime:
        """Return when the first check was."""
        return self.trend.points[0].at

    def day_of(self, at: datetime) -> float:
        """Return a moment in days from the first check."""
        return (at - self.first).total_seconds() / DAY_S


def trend_summary(scene: TrendScene) -> str:
    """Return what the picture shows, in sentences.

    Parameters
    ----------
    scene : TrendScene
        The trend.

    Returns
    -------
    str
        How many checks count since when, the latest margin against the baseline, the slope with its interval, a shift.
    """
    trend, unit = scene.trend, scene.trend.unit
    counted = len(trend.counted)
    said = [f"{scene.label}: {count_text(counted, 'comparable check')} since {trend.since_words}."]
    if trend.latest is not None:
        said.append(f"The latest margin to the chart is {quantity(trend.latest, unit)}.")
    if trend.change is not None and trend.baseline is not None:
        word = "less" if trend.change < 0 else "more"
        change = quantity(abs(trend.change), unit)
        said.append(f"That is {change} {word} than the baseline of {quantity(trend.baseline, unit)}.")
    elif counted:
        said.append("There are too few checks for a baseline.")
    said += [_slope_words(trend), *_shift_words(trend)]
    return " ".join(said)


def _slope_words(trend: ConditionTrend) -> str:
    if trend.slope is None:
        return "There are too few checks for a trend."
    low, middle, high = (figure(100 * value) for value in (trend.slope.low, trend.slope.slope, trend.slope.high))
    return f"In 100 days it changes by {middle} {symbol_of(trend.unit)} (between {low} and {high})."


def _shift_words(trend: ConditionTrend) -> list[str]:
    if trend.shift is None or trend.shifted_at is None:
        return []
    before, after = (f"{at:%Y-%m-%d}" for at in trend.shifted_at)
    size = quantity(abs(trend.shift.size), trend.unit)
    word = "dropped" if trend.shift.size < 0 else "rose"
    said = f"Between {before} and {after} it {word} by {size} at once: look for what changed."
    return [f"{said} The trend is of what came after."]


def shift_words(scenes: Sequence[TrendScene]) -> list[str]:
    """Return by how much margins have shifted and when, in few words.

    Parameters
    ----------
    scenes : sequence of TrendScene
        The trends.

    Returns
    -------
    list of str
        A sentence for those that shifted between the same two checks; none where no shift is called.
    """
    found: dict[tuple[datetime, datetime], list[str]] = {}
    for scene in scenes:
        trend = scene.trend
        if trend.shift is not None and trend.shifted_at is not None:
            size = quantity(trend.shift.size, trend.unit)
            found.setdefault(trend.shifted_at, []).append(f"{scene.label} by {size}")
    return [
        f"Shifted at once between {before:%Y-%m-%d} and {after:%Y-%m-%d}, so look for what changed: {', '.join(said)}."
        for (before, after), said in found.items()
    ]


def days_words(trend: ConditionTrend) -> str:
    """Return in how many days a margin may be used up, as a range with what it assumes.

    Parameters
    ----------
    trend : ConditionTrend
        The trend.

    Returns
    -------
    str
        Never a bare figure.
    """
    days = trend.days
    if days is None:
        return "Not foretold: there are too few comparable checks."
    if days.soonest == 0:
        return "Nothing is left of it by the line through the latest checks."
    if days.soonest is None:
        return "No end is foreseen within ten years, if it goes on as in these checks."
    latest = "with no end foreseen at the latest" if days.latest is None else f"at the latest in {days.latest:.0f}"
    likely = "" if days.likely is None else f", by the line in {days.likely:.0f}"
    return f"At the soonest in {days.soonest:.0f} days{likely}, {latest}; if it goes on as in these checks."


def trend_cells(scene: TrendScene) -> list[str]:
    """Return a trend as the cells of one row: quantity, baseline, latest, change in 100 days, days left.

    Parameters
    ----------
    scene : TrendScene
        The trend.

    Returns
    -------
    list of str
        Five; the range of days goes by what :func:`days_words` says it assumes.
    """
    trend, unit = scene.trend, scene.trend.unit
    baseline, latest = (
        "too few checks" if value is None else quantity(value, unit) for value in (trend.baseline, trend.latest)
    )
    slope = "too few checks"
    if trend.slope is not None:
        low, middle, high = (figure(100 * value) for value in (trend.slope.low, trend.slope.slope, trend.slope.high))
        slope = f"{middle} ({low} to {high})"
    return [scene.label, baseline, latest, slope, _range_words(trend)]


def _range_words(trend: ConditionTrend) -> str:
    days = trend.days
    if days is None:
        return "not foretold"
    if days.soonest == 0:
        return "nothing is left"
    if days.soonest is None:
        return "no end foreseen"
    return f"{days.soonest:.0f} or more" if days.latest is None else f"{days.soonest:.0f} to {days.latest:.0f}"


def trend_facts(scene: TrendScene) -> list[dict[str, str]]:
    """Return the facts of the picture in words, the newest check first.

    Parameters
    ----------
    scene : TrendScene
        The trend.

    Returns
    -------
    list of dict of str to str
        One for each check: heading to text.
    """
    return [
        {
            "Power check": f"{point.at:%Y-%m-%d %H:%M}",
            "Margin": quantity(point.margin, scene.trend.unit),
            "Counts in the trend": "yes" if point.is_counted else "no, another setting or before the baseline",
        }
        for point in reversed(scene.trend.points)
    ]


def trend_picture(scene: TrendScene, *, width: float, height: float) -> Picture:
    """Return the picture of a margin's trend.

    Parameters
    ----------
    scene : TrendScene
        The trend.
    width, height : float
        Size of the picture. [px]

    Returns
    -------
    Picture
        A disc for each check that counts and a square for each that does not; the chart's limit, where nothing is left,
        as a labelled line; the baseline, the line through the checks, and what happened besides as upright lines.
    """
    trend, size = scene.trend, letter_size(width)
    heading = title_shapes(f"{scene.label}: margin to the chart, {symbol_of(trend.unit)}", width, size)
    top, bottom = (len(heading) + 0.6) * size * LINE, height - 2 * LINE * size - 10
    y = _value_scale(trend, top, bottom)
    letters = int(0.24 * width / (size * EM))
    labels = [(0.0, "Limit of the chart: nothing left")]
    labels += [] if trend.baseline is None else [(trend.baseline, f"baseline {quantity(trend.baseline, trend.unit)}")]
    margin = [margin_label(y.at(value), text, letters, bold=k == 0) for k, (value, text) in enumerate(labels)]
    ticks = [(value, figure(value)) for value in value_ticks(y.low, y.high, int((bottom - top) / (2.4 * size)))]
    left = max(text_width(text, size) for _, text in ticks) + 9
    right = width - max(label.width(size) for label in margin) - 12
    frame = Frame(left, right, top, bottom, size, margin=width - 4, foot=bottom)
    last = max(scene.day_of(trend.points[-1].at), 1.0)
    x = Scale((-0.03 * last, 1.03 * last), (left, right))
    strokes = [LIMIT, LEVEL]
    roles = ["limit", "baseline"]
    shapes: list[Shape] = [
        *heading,
        *(
            Line((left, y.at(value)), (right, y.at(value)), strokes[k], role=roles[k])
            for k, (value, _) in enumerate(labels)
        ),
        *_events(scene, x, (top, bottom), size),
        *_line(scene, x, y),
        *(_mark(point, x.at(scene.day_of(point.at)), y.at(point.margin), 0.3 * size) for point in trend.points),
        *value_axis(frame, y, ticks),
        *level_axis(frame, x, _months(scene, last), f"{scene.first:%Y-%m-%d} to {trend.points[-1].at:%Y-%m-%d}"),
        *margin_shapes(margin, frame),
    ]
    return Picture(width, height, tuple(shapes), f"{scene.label}: margin over time", trend_summary(scene))


def _value_scale(trend: ConditionTrend, top: float, bottom: float) -> Scale:
    values = [0.0, *(point.margin for point in trend.points)]
    low, high = min(values), max(values)
    room = 0.1 * (high - low) or 1.0
    return Scale((low - room, high + room), (bottom, top))


def _mark(point: MarginPoint, x: float, y: float, radius: float) -> Shape:
    x, y = round(x, 2), round(y, 2)
    if point.is_counted:
        return Marker(x, y, radius, role="counted")
    corners = ((x - radius, y - radius), (x + radius, y - radius), (x + radius, y + radius), (x - radius, y + radius))
    return Polygon(corners, role="left-out")


def _line(scene: TrendScene, x: Scale, y: Scale) -> list[Shape]:
    """Return the line through the checks that the slope is of."""
    trend = scene.trend
    if trend.slope is None:
        return []
    counted = trend.counted[trend.shift.before if trend.shift else 0 :]
    ends = [counted[0].at, counted[-1].at]
    (x0, y0), (x1, y1) = [
        (x.at(scene.day_of(at)), y.at(trend.slope.at((at - ends[1]).total_seconds() / DAY_S))) for at in ends
    ]
    return [Line((x0, y0), (x1, y1), TRACE, role="slope")]


def _events(scene: TrendScene, x: Scale, box: tuple[float, float], size: float) -> list[Shape]:
    """Return what happened besides as upright lines, numbered from 1 as the list below has them."""
    shapes: list[Shape] = []
    for number, (at, _) in enumerate(scene.events, 1):
        day = scene.day_of(at)
        if x.low <= day <= x.high:
            shapes.append(Line((x.at(day), box[0]), (x.at(day), box[1]), THIN, role="event"))
            shapes.append(Text(x.at(day) + 2, box[0] + size, str(number), 0.9 * size, role="event"))
    return shapes


def _months(scene: TrendScene, last: float) -> Sequence[tuple[float, str]]:
    """Return the first of each month within the span by its name, of a long span every third."""
    end, day = scene.first + timedelta(days=last), scene.first.replace(day=1, hour=0, minute=0, second=0, microsecond=0)
    ticks = []
    while day <= end:
        if day >= scene.first:
            ticks.append((scene.day_of(day), f"{day:%b}"))
        day = (day + timedelta(days=32)).replace(day=1)
    return ticks if len(ticks) <= MONTHS_NAMED else ticks[::3]

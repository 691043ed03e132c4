"""The condition of an engine from its power checks: margins against a baseline, their trend, shifts, days to limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from statistics import median
from typing import Final

from engines.power_assurance import PowerCheck
from engines.power_rules import TrendRules
from engines.trends import Shift, Slope, pettitt, theil_sen

DAY_S: Final = 86_400.0
FARTHEST_D: Final = 3650.0  # beyond ten years nothing is foretold


@dataclass(frozen=True)
class CheckedAt:
    """A power check worked out, when it was, and the change after which a baseline begins with it, "" for none."""

    at: datetime
    check: PowerCheck
    begins_after: str = ""


@dataclass(frozen=True)
class MarginPoint:
    """One margin to the chart: when, how much is left, and whether it counts in the trend. [channel's unit]"""

    at: datetime
    margin: float
    is_counted: bool


@dataclass(frozen=True)
class DaysLeft:
    """In how many days a margin is used up, from the last check on: at the soonest, by the line, at the latest.

    None where that is not foreseen: by a slope that does not fall, or only beyond ten years. [d]
    """

    soonest: float | None
    likely: float | None
    latest: float | None


@dataclass(frozen=True)
class ConditionTrend:
    """How one quantity's margin goes: its points, the baseline they are held against, slope, shift and days left.

    ``since`` is when the points that count begin, ``since_words`` after what. ``slope`` is a day. [channel's unit]
    """

    quantity: str
    channel: str
    unit: str
    points: tuple[MarginPoint, ...]
    since: datetime | None
    since_words: str
    baseline: float | None
    latest: float | None
    slope: Slope | None
    shift: Shift | None
    shifted_at: tuple[datetime, datetime] | None
    days: DaysLeft | None

    @property
    def change(self) -> float | None:
        """Return how far the latest margin is from the baseline, negative where it has shrunk."""
        return None if self.baseline is None or self.latest is None else self.latest - self.baseline

    @property
    def counted(self) -> tuple[MarginPoint, ...]:
        """Return the points that count in the trend."""
        return tuple(point for point in self.points if point.is_counted)


def condition_trend(
    checks: Sequence[CheckedAt], quantity: str, rules: TrendRules, overhauled_on: date | None
) -> ConditionTrend | None:
    """Return how the margin of one quantity goes.

    Parameters
    ----------
    checks : sequence of CheckedAt
        Power checks, the earliest first.
    quantity : str
        Of :data:`engines.power_rules.QUANTITIES`.
    rules : TrendRules
        What compares, how long a baseline is, how many points a trend needs.
    overhauled_on : date or None
        The engine's last overhaul, with which a baseline begins.

    Returns
    -------
    ConditionTrend or None
        None where no check has a margin to the chart for it.

    Notes
    -----
    Only checks at comparable settings count: corrected power within the rules' bounds. The baseline is the median of
    the first ones since the overhaul, or since the last change that somebody recorded. A shift is called where
    Pettitt's test finds one at the rules' chance and two levels fit better than one line, by the sum of absolute
    distances; the trend then begins after it. That last rule is this project's own.
    """
    found = [(one, one.check.of(quantity)) for one in checks]
    known = [(one, assured, assured.margin) for one, assured in found if assured.margin is not None]
    if not known:
        return None
    since, words = _begins(checks, overhauled_on)
    points = tuple(MarginPoint(one.at, margin, _counts(one, since, rules)) for one, _, margin in known)
    counted = [point for point in points if point.is_counted]
    first = known[0][1]
    shift = _shift(counted, rules)
    after = counted[shift.before :] if shift else counted
    slope = _slope(after, rules) if len(after) >= rules.least else None
    return ConditionTrend(
        quantity=quantity,
        channel=first.channel,
        unit=first.unit,
        points=points,
        since=since,
        since_words=words,
        baseline=_baseline(counted, rules),
        latest=counted[-1].margin if counted else None,
        slope=slope,
        shift=shift,
        shifted_at=_shifted_at(counted, shift),
        days=None if slope is None else _days_left(slope),
    )


def _shifted_at(counted: Sequence[MarginPoint], shift: Shift | None) -> tuple[datetime, datetime] | None:
    return None if shift is None else (counted[shift.before - 1].at, counted[shift.before].at)


def _begins(checks: Sequence[CheckedAt], overhauled_on: date | None) -> tuple[datetime | None, str]:
    """Return from when checks count, and after what: the later of the overhaul and the last change recorded."""
    marked = [(one.at, one.begins_after) for one in checks if one.begins_after]
    last = max(marked, default=None)
    if overhauled_on is not None and (last is None or last[0].date() < overhauled_on):
        of_that_day = (one.at for one in checks if one.at.date() >= overhauled_on)
        return next(of_that_day, checks[-1].at + timedelta(days=1)), f"the overhaul of {overhauled_on}"
    return last if last is not None else (None, "the first check")


def _counts(one: CheckedAt, since: datetime | None, rules: TrendRules) -> bool:
    is_later = since is None or one.at >= since
    return is_later and rules.least_power <= one.check.corrected <= rules.most_power


def _baseline(counted: Sequence[MarginPoint], rules: TrendRules) -> float | None:
    first = [point.margin for point in counted[: rules.baseline]]
    return median(first) if len(first) == rules.baseline else None


def _days(points: Sequence[MarginPoint]) -> list[float]:
    """Return when points are, in days from the last, so that the line's value at 0 is that of today's engine."""
    return [(point.at - points[-1].at).total_seconds() / DAY_S for point in points]


def _slope(points: Sequence[MarginPoint], rules: TrendRules) -> Slope | None:
    return theil_sen(_days(points), [point.margin for point in points], rules.confidence)


def _shift(counted: Sequence[MarginPoint], rules: TrendRules) -> Shift | None:
    margins = [point.margin for point in counted]
    shift, line = pettitt(margins), _slope(counted, rules) if len(counted) > 1 else None
    if shift is None or shift.chance >= rules.shift or line is None:
        return None
    levels = [median(margins[: shift.before]), median(margins[shift.before :])]
    by_levels = sum(abs(margin - levels[k >= shift.before]) for k, margin in enumerate(margins))
    by_line = sum(abs(margin - line.at(day)) for day, margin in zip(_days(counted), margins, strict=True))
    return shift if by_levels < by_line else None


def _days_left(slope: Slope) -> DaysLeft:
    """Return in how many days the margin is used up, from the line's value at the last check."""
    left = max(slope.at(0.0), 0.0)
    soonest, likely, latest = (_reached(left, of) for of in (slope.low, slope.slope, slope.high))
    return DaysLeft(soonest, likely, latest)


def _reached(left: float, slope: float) -> float | None:
    if left == 0:
        return 0.0
    days = -left / slope if slope < 0 else None
    return None if days is None or days > FARTHEST_D else days

"""When a remaining amount runs out, as a range with what it assumes: by use that was observed, or that is stated."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor, sqrt
from statistics import fmean, stdev
from typing import Final

WEEK_D: Final = 7
STATED_D: Final = 30  # a person states use for so many days [d]
LEAST_WEEKS: Final = 4
MOST_WEEKS: Final = 26
FARTHEST_D: Final = 36_500  # beyond a hundred years nothing is foretold [d]
CONFIDENCE: Final = "95%"

# Student's t at 0.975 for 1 to 30 degrees of freedom: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2.
T_975: Final = (
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160, 2.145, 2.131,
    2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
)  # fmt: skip


@dataclass(frozen=True)
class Use:
    """Use of one counter in a period of some days: its mean and standard deviation over so many periods.

    Where it is stated by a person, ``low`` and ``high`` are what was stated, and nothing was observed.
    """

    mean: float
    spread: float = 0.0
    periods: int = 0
    low: float | None = None
    high: float | None = None
    days: int = WEEK_D

    @property
    def is_stated(self) -> bool:
        """Return whether a person stated it."""
        return self.low is not None


@dataclass(frozen=True)
class Span:
    """From how many days to how many; ``latest`` is None where no end can be foretold. [d]"""

    earliest: int
    latest: int | None

    def days(self, today: date) -> tuple[date, date | None]:
        """Return the days of the span, counted from a day."""
        last = None if self.latest is None else today + timedelta(days=self.latest)
        return today + timedelta(days=self.earliest), last


def observed_use(totals: Sequence[float]) -> Use | None:
    """Return the use observed in some weeks.

    Parameters
    ----------
    totals : sequence of float
        What was used in each of several weeks, any order. [counter's unit]

    Returns
    -------
    Use or None
        None where there are fewer than four weeks: nothing can be foretold from them.
    """
    if len(totals) < LEAST_WEEKS:
        return None
    return Use(fmean(totals), stdev(totals), len(totals))


def stated_use(low: float, high: float) -> Use:
    """Return the use that a person states for thirty days.

    Parameters
    ----------
    low, high : float
        The least and the most of thirty days, 0 or more. [counter's unit]

    Returns
    -------
    Use
        The use.

    Raises
    ------
    ValueError
        If one is negative, or the least is above the most.
    """
    if low < 0 or high < low:
        raise ValueError(
            f"From {low:g} to {high:g} in {STATED_D} days is no use; write the smaller first, and nothing below 0."
        )
    return Use((low + high) / 2, low=low, high=high, days=STATED_D)


def t_value(periods: int) -> float:
    """Return Student's t for a two-sided range of 95% from a mean of some periods.

    Parameters
    ----------
    periods : int
        How many, at least 2 and at most 31.

    Returns
    -------
    float
        The value at 0.975 with one degree of freedom less than periods.

    Raises
    ------
    ValueError
        If there are too few periods or more than the table has.
    """
    if not 2 <= periods <= len(T_975) + 1:
        raise ValueError(f"{periods} periods have no value of t here; there must be 2 to {len(T_975) + 1}.")
    return T_975[periods - 2]


def use_within(use: Use, days: float) -> tuple[float, float]:
    """Return the range of what will be used in some days to come.

    Parameters
    ----------
    use : Use
        The use.
    days : float
        How many days, above 0. [d]

    Returns
    -------
    tuple of float
        Least and most, the least not below 0. [counter's unit]

    Notes
    -----
    Of observed use, the two-sided prediction interval of 95% for the sum of m further periods from a sample of n:
    m x̄ ± t s √(m + m²/n), which is m times the interval for the mean of m further observations.

    References
    ----------
    Meeker, Hahn and Escobar, Statistical Intervals, 2nd ed. (2017), chapter 4. For m = 1: Montgomery and Runger,
    Applied Statistics and Probability for Engineers, 3rd ed., example 8-8.
    """
    m = days / use.days
    if use.low is not None and use.high is not None:
        return use.low * m, use.high * m
    half = t_value(use.periods) * use.spread * sqrt(m + m * m / use.periods) if use.spread else 0.0
    return max(0.0, m * use.mean - half), m * use.mean + half


def runs_out(left: float, use: Use) -> Span | None:
    """Return when a remaining amount runs out.

    Parameters
    ----------
    left : float
        The amount. [counter's unit]
    use : Use
        The use.

    Returns
    -------
    Span or None
        Days from now, the first rounded down and the last up; None where nothing is used, so that it never runs out.

    Notes
    -----
    The first day is when the upper end of ``use_within`` reaches the amount, the last when its lower end does: the two
    roots of m²(x̄² − t²s²/n) − m(2 x̄ R + t²s²) + R² = 0. Where x̄ ≤ t s/√n the lower end never does, and no last day
    can be foretold.
    """
    if left <= 0:
        return Span(0, 0)
    if use.is_stated:
        return _span(_periods(left, use.high or 0.0), _periods(left, use.low or 0.0), use.days)
    if use.mean <= 0:
        return None
    if not use.spread:
        return _span(left / use.mean, left / use.mean, use.days)
    squared = (t_value(use.periods) * use.spread) ** 2
    a = use.mean**2 - squared / use.periods
    b = 2 * use.mean * left + squared
    root = sqrt(b * b - 4 * a * left * left)
    earliest = 2 * left * left / (b + root)
    return _span(earliest, (b + root) / (2 * a) if a > 0 else None, use.days)


def _periods(left: float, rate: float) -> float | None:
    return left / rate if rate > 0 else None


def _span(earliest: float | None, latest: float | None, days: int) -> Span | None:
    if earliest is None:
        return None
    first = floor(min(earliest * days, FARTHEST_D))
    return Span(first, None if latest is None or latest * days > FARTHEST_D else max(first, ceil(latest * days)))


def first_of(spans: Iterable[Span | None]) -> Span | None:
    """Return the span of whichever comes first of several.

    Parameters
    ----------
    spans : iterable of Span or None
        One for each parameter; None for one that never comes.

    Returns
    -------
    Span or None
        From the earliest beginning to the earliest end; None where none ever comes.
    """
    known = [span for span in spans if span is not None]
    if not known:
        return None
    ends = [span.latest for span in known if span.latest is not None]
    return Span(min(span.earliest for span in known), min(ends, default=None))

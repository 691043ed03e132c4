"""A slope that a few wild points do not bend, with its interval; and whether a series has shifted, and where."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from statistics import NormalDist, median


@dataclass(frozen=True)
class Slope:
    """A line through points: its slope with its confidence interval, and its value at 0. [y's unit a unit of x]"""

    slope: float
    low: float
    high: float
    at_zero: float

    def at(self, x: float) -> float:
        """Return the line's value. [y's unit]"""
        return self.at_zero + self.slope * x


@dataclass(frozen=True)
class Shift:
    """Where a series has most probably shifted: how many values lie before, by how much, and how probable by chance.

    ``statistic`` is Pettitt's K.
    """

    before: int
    size: float
    statistic: float
    chance: float


def theil_sen(xs: Sequence[float], ys: Sequence[float], confidence: float) -> Slope | None:
    """Return the median of the slopes of all pairs of points, with its interval.

    Parameters
    ----------
    xs, ys : sequence of float, shape (n,)
        The points, in any order.
    confidence : float
        Of the interval, between 0 and 1.

    Returns
    -------
    Slope or None
        The line goes through the medians of both. None where all x are the same, or there are fewer than two points.

    Notes
    -----
    The interval is Sen's by the normal approximation: from the rank (N - z sigma)/2 to the rank (N + z sigma)/2 + 1 of
    the N slopes, sigma that of Kendall's S with its correction for ties; a rank beyond the ends is the end's.

    References
    ----------
    P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, JASA 63 (1968) 1379-1389; H. Theil 1950.
    """
    pairs = combinations(zip(xs, ys, strict=True), 2)
    slopes = sorted((y1 - y0) / (x1 - x0) for (x0, y0), (x1, y1) in pairs if x1 != x0)
    if not slopes:
        return None
    n, count = len(xs), len(slopes)
    ties = [k for values in (xs, ys) for k in Counter(values).values() if k > 1]
    variance = (n * (n - 1) * (2 * n + 5) - sum(k * (k - 1) * (2 * k + 5) for k in ties)) / 18
    reach = NormalDist().inv_cdf((1 + confidence) / 2) * math.sqrt(max(variance, 0.0))
    low, high = max(round((count - reach) / 2) - 1, 0), min(round((count + reach) / 2), count - 1)
    slope = median(slopes)
    return Slope(slope, slopes[low], slopes[high], median(ys) - slope * median(xs))


def pettitt(ys: Sequence[float]) -> Shift | None:
    """Return where a series has most probably shifted.

    Parameters
    ----------
    ys : sequence of float, shape (n,)
        The values in order of time.

    Returns
    -------
    Shift or None
        The size is the median of all differences between a value after and one before. None for fewer than two values,
        and where all are the same.

    Notes
    -----
    U(t) is the sum of the signs of the differences between each of the first t values and each of the others; K is the
    greatest |U(t)|. The chance, 2 exp(-6 K2/(n3 + n2)), is an approximation that holds where it is below a half.
    Of equal ones the first t counts. A slow trend looks like a shift to it; :mod:`engines.condition` tells them apart.

    References
    ----------
    A. N. Pettitt, A non-parametric approach to the change-point problem, Applied Statistics 28 (1979) 126-135.
    """
    n = len(ys)
    sums = [sum(_sign(early - late) for early in ys[:t] for late in ys[t:]) for t in range(1, n)]
    statistic = max(map(abs, sums), default=0)
    if statistic == 0:
        return None
    before = next(t for t, found in enumerate(sums, 1) if abs(found) == statistic)
    size = median(late - early for early in ys[:before] for late in ys[before:])
    chance = 2 * math.exp(-6 * statistic**2 / (n**3 + n**2))
    return Shift(before, size, statistic, min(chance, 1.0))


def _sign(value: float) -> int:
    return (value > 0) - (value < 0)

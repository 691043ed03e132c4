"""EWMA and CUSUM charts of a series of figures: weighted means, cumulative sums, their limits, and where they signal.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4 (EWMA control charts) and 6.3.2.3 (CUSUM control
charts), https://www.itl.nist.gov/div898/handbook/.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev

from engines.start_rules import DriftRule


@dataclass(frozen=True)
class Ewma:
    """An EWMA chart: the weighted mean after each value, and the limits it is held against. [the values' unit]"""

    values: tuple[float, ...]
    target: float
    lower: float
    upper: float

    @property
    def signals(self) -> tuple[int, ...]:
        """Return the places, from 0, at which the weighted mean lies beyond a limit."""
        return tuple(k for k, value in enumerate(self.values) if not self.lower <= value <= self.upper)


@dataclass(frozen=True)
class Cusum:
    """A CUSUM chart: both sums after each value, and the decision value they are held against. [the values' unit]"""

    high: tuple[float, ...]
    low: tuple[float, ...]
    decision: float

    @property
    def signals(self) -> tuple[int, ...]:
        """Return the places, from 0, at which either sum lies above the decision value."""
        pairs = enumerate(zip(self.high, self.low, strict=True))
        return tuple(k for k, sums in pairs if max(sums) > self.decision)


@dataclass(frozen=True)
class Drift:
    """Both charts of a series, with what they were set by. [the values' unit]

    ``target`` and ``sigma`` are mean and standard deviation of the first ``baseline`` values; the charts begin with
    the value after these.
    """

    rule: DriftRule
    target: float
    sigma: float
    ewma: Ewma
    cusum: Cusum

    @property
    def is_signalled(self) -> bool:
        """Return whether either chart signals at its newest value."""
        last = len(self.ewma.values) - 1
        return last in self.ewma.signals or last in self.cusum.signals

    @property
    def direction(self) -> str:
        """Return ``"higher"`` or ``"lower"``, by which side of its target the weighted mean stands."""
        return "higher" if self.ewma.values[-1] > self.target else "lower"


def ewma_of(values: Sequence[float], *, target: float, sigma: float, weight: float, width: float) -> Ewma:
    """Return the EWMA chart of a series.

    Parameters
    ----------
    values : sequence of float
        The series, in order.
    target : float
        The mean it is held against, which is also what the weighted mean begins with. [values' unit]
    sigma : float
        Standard deviation of single values. [values' unit]
    weight : float
        What the newest value counts for, above 0 and at most 1.
    width : float
        How far the limits lie from the target, in standard deviations of the weighted mean.

    Returns
    -------
    Ewma
        The limits are those that hold after many values: width * sigma * sqrt(weight / (2 - weight)).

    Notes
    -----
    NIST/SEMATECH e-Handbook 6.3.2.4.
    """
    found, mean = [], target
    for value in values:
        mean = weight * value + (1 - weight) * mean
        found.append(mean)
    half = width * sigma * sqrt(weight / (2 - weight))
    return Ewma(tuple(found), target, target - half, target + half)


def cusum_of(values: Sequence[float], *, target: float, slack: float, decision: float) -> Cusum:
    """Return the CUSUM chart of a series.

    Parameters
    ----------
    values : sequence of float
        The series, in order.
    target : float
        The mean it is held against. [values' unit]
    slack : float
        What is taken from every deviation before it is summed (k). [values' unit]
    decision : float
        The sum above which a shift is called out (h). [values' unit]

    Returns
    -------
    Cusum
        Sums of what lies above and of what lies below, neither ever below 0.

    Notes
    -----
    NIST/SEMATECH e-Handbook 6.3.2.3.
    """
    high, low, up, down = [], [], 0.0, 0.0
    for value in values:
        up = max(0.0, up + value - target - slack)
        down = max(0.0, down + target - slack - value)
        high.append(up)
        low.append(down)
    return Cusum(tuple(high), tuple(low), decision)


def drift_of(values: Sequence[float], rule: DriftRule, resolution: float = 0.0) -> Drift | None:
    """Return both charts of a series of figures, set by its first values.

    Parameters
    ----------
    values : sequence of float
        The series, in order.
    rule : DriftRule
        How many values set the target, and the charts' parameters.
    resolution : float
        The least standard deviation that is believed, for figures that an instrument rounds. [values' unit]

    Returns
    -------
    Drift or None
        None where no value comes after the first ones, or these do not differ and no resolution is given.
    """
    first, rest = values[: rule.baseline], values[rule.baseline :]
    if not rest:
        return None
    target, sigma = fmean(first), max(stdev(first), resolution)
    if sigma <= 0:
        return None
    return Drift(
        rule,
        target,
        sigma,
        ewma_of(rest, target=target, sigma=sigma, weight=rule.weight, width=rule.width),
        cusum_of(rest, target=target, slack=rule.slack * sigma, decision=rule.decision * sigma),
    )

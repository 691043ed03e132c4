"""Power cycles from a trace: excursions between two levels, or ranges as ASTM E1049 counts them."""

import math
from collections.abc import Iterable, Sequence

import numpy as np
import rainflow

from engines.charts import Segmentation
from engines.counters import CycleRule, ExcursionRule
from engines.regimes import segments_of
from engines.traces import Floats, Trace


def rises(values: Iterable[float], low: float, high: float) -> int:
    """Return how often a quantity rose to a level after it had been down at a lower one.

    Parameters
    ----------
    values : iterable of float
        Samples in order; NaN where there is none. [any unit]
    low : float
        At or below this it is down again. [same unit]
    high : float
        At or above this it has risen. [same unit]

    Returns
    -------
    int
        The rises; a record that begins above ``low`` is taken to have come from below it.

    Raises
    ------
    ValueError
        If the levels are not apart.
    """
    if not low < high:
        raise ValueError(f"the lower level {low:g} must lie below the upper level {high:g}.")
    array = np.asarray(list(values), dtype=float)
    ends = array[(array <= low) | (array >= high)] >= high
    return int(ends[:1].sum() + np.count_nonzero(ends[1:] & ~ends[:-1]))


def range_cycles(values: Sequence[float]) -> dict[float, float]:
    """Return the ranges of a history with their counts, by rainflow.

    Parameters
    ----------
    values : sequence of float
        Samples in order, finite. [any unit]

    Returns
    -------
    dict of float to float
        Count, in halves, of each range, smallest range first. [same unit]

    References
    ----------
    ASTM E1049-85, 5.4.4, rainflow counting.
    """
    return {float(size): float(count) for size, count in rainflow.count_cycles(values)}


def cycles_by(rule: CycleRule, values: Floats) -> int:
    """Return the power cycles of one stretch of running.

    Parameters
    ----------
    rule : ExcursionRule or RangeRule
        The rule that the type states.
    values : ndarray of float
        Samples of the rule's channel; NaN where there is none. [channel's unit]

    Returns
    -------
    int
        The cycles; a half cycle left over by range counting is counted as a whole one.
    """
    if isinstance(rule, ExcursionRule):
        return rises(values, rule.low, rule.high)
    known = values[np.isfinite(values)].tolist()
    return math.ceil(math.fsum(count for size, count in range_cycles(known).items() if size >= rule.least))


def partial_cycles_of(trace: Trace, segmentation: Segmentation | None, rule: CycleRule | None) -> int | None:
    """Return the partial cycles that a trace shows.

    Parameters
    ----------
    trace : Trace
        The recorded run.
    segmentation : Segmentation or None
        What parts the run into regimes.
    rule : ExcursionRule or RangeRule or None
        The rule that the type states.

    Returns
    -------
    int or None
        In each stretch from light-off to the end of running, the power cycles beyond the first, which belongs
        to the full cycle of its start; None where the type states no rule or the trace lacks the channel.
    """
    segments = segments_of(trace, segmentation)
    if rule is None or segments is None or rule.channel not in trace.channels:
        return None
    values = trace.channels[rule.channel]
    found = 0
    for begin, end in segments.stints:
        first, last = np.searchsorted(trace.times, begin), np.searchsorted(trace.times, end, side="right")
        found += max(0, cycles_by(rule, values[first:last]) - 1)
    return found


def airborne_of(trace: Trace, rule: ExcursionRule | None) -> tuple[int, int] | None:
    """Return the time in service and the take-offs that a trace shows.

    Parameters
    ----------
    trace : Trace
        The recorded run.
    rule : ExcursionRule or None
        The channel that tells leaving the surface from touching it, with the level reached on leaving (``high``)
        and the one at which it is down again (``low``).

    Returns
    -------
    tuple of int or None
        Seconds from each take-off to the next landing, rounded, and the number of take-offs; None where the type
        names no such channel or the trace lacks it. [s, pieces]

    References
    ----------
    14 CFR 1.1, time in service: from leaving the surface until touching it at the next point of landing.
    """
    if rule is None or rule.channel not in trace.channels:
        return None
    values = trace.channels[rule.channel]
    known = np.flatnonzero(np.isfinite(values))
    seconds, took_off_at, take_offs = 0.0, None, 0
    for at, value in zip(trace.times[known].tolist(), values[known].tolist(), strict=True):
        if took_off_at is None and value >= rule.high:
            took_off_at, take_offs = at, take_offs + 1
        elif took_off_at is not None and value <= rule.low:
            seconds, took_off_at = seconds + at - took_off_at, None
    if took_off_at is not None:
        seconds += float(trace.times[-1]) - took_off_at
    return round(seconds), take_offs

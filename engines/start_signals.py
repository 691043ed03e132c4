"""The valid samples of one channel in a window of time, and what they show: first crossings, slopes, short bursts."""

from dataclasses import dataclass

import numpy as np

from engines.start_rules import Burst, Signal
from engines.traces import Floats, Trace

TOLERANCE = 1e-6  # times closer than this are one time [s]


@dataclass(frozen=True)
class Samples:
    """Valid samples of one channel, in order of time: arrays of shape (n,). [s, channel's unit]"""

    times: Floats
    values: Floats

    @property
    def size(self) -> int:
        """Return how many there are."""
        return int(self.times.size)

    def between(self, start: float, end: float) -> "Samples":
        """Return the samples from one time to another, both included."""
        first = int(np.searchsorted(self.times, start, side="left"))
        last = int(np.searchsorted(self.times, end, side="right"))
        return Samples(self.times[first:last], self.values[first:last])

    def first_where(self, is_so: np.ndarray) -> float | None:
        """Return the time of the first sample of which something is so; None where it is of none. [s]"""
        return float(self.times[int(np.argmax(is_so))]) if is_so.any() else None

    def at(self, moment: float, gap_s: float) -> float | None:
        """Return the value at a time, read along the straight line between two samples no farther apart than a gap."""
        after = int(np.searchsorted(self.times, moment))
        if after < self.size and abs(float(self.times[after]) - moment) <= TOLERANCE:
            return float(self.values[after])
        if after == 0 or after == self.size or self.times[after] - self.times[after - 1] > gap_s:
            return None
        return float(np.interp(moment, self.times, self.values))

    def longest_step(self, start: float, end: float) -> float:
        """Return the longest time between two times without a sample, the ends included. [s]"""
        inner = self.between(start, end).times
        return float(np.diff(np.concatenate(([start], inner, [end]))).max())


def samples_of(trace: Trace, channel: str) -> Samples | None:
    """Return the valid samples of a channel.

    Parameters
    ----------
    trace : Trace
        The recorded run.
    channel : str
        The channel's name.

    Returns
    -------
    Samples or None
        None where the record has no such channel or no valid sample of it.
    """
    values = trace.channels.get(channel)
    if values is None:
        return None
    kept = np.isfinite(values)
    return Samples(trace.times[kept], values[kept]) if kept.any() else None


def shows(samples: Samples, signal: Signal) -> np.ndarray:
    """Return at which samples a signal shows.

    Parameters
    ----------
    samples : Samples
        Samples of the signal's channel.
    signal : Signal
        Above a value, or fallen from the highest sample so far.

    Returns
    -------
    array of bool, shape (n,)
        True where it shows.
    """
    if signal.above is not None:
        return samples.values > signal.above
    return np.maximum.accumulate(samples.values) - samples.values >= (signal.drop or 0.0)


def slopes(samples: Samples, seconds: float, gap_s: float) -> Floats:
    """Return the mean slope over a length of time from each sample on.

    Parameters
    ----------
    samples : Samples
        Samples of a channel.
    seconds : float
        The length of time, above 0. [s]
    gap_s : float
        The longest step that joins two samples. [s]

    Returns
    -------
    array of float
        Of each sample from which so long is recorded without a gap. [channel's unit / s]

    Notes
    -----
    The value at the end of the length is read along the straight line between two samples.
    """
    if samples.size < 2:
        return np.array([])
    ends = samples.times + seconds
    is_long = ends <= samples.times[-1] + TOLERANCE
    broken = np.concatenate(([0], np.cumsum(np.diff(samples.times) > gap_s)))
    last = np.minimum(np.searchsorted(samples.times, ends - TOLERANCE), samples.size - 1)
    kept = is_long & (broken[last] == broken)
    rise = np.interp(ends, samples.times, samples.values) - samples.values
    return np.asarray(rise[kept] / seconds, dtype=np.float64)


def bursts(samples: Samples, rule: Burst) -> list[tuple[float, float]]:
    """Return the short bursts that a channel shows.

    Parameters
    ----------
    samples : Samples
        Samples of the rule's channel, from fuel on to idle.
    rule : Burst
        How a burst shows.

    Returns
    -------
    list of (float, float)
        Times of each burst's first and last sample. [s]

    Notes
    -----
    A channel that falls is in a burst at each sample that lies at least the drop below the highest of the samples
    within ``most_s`` before it, and below the highest of those within ``most_s`` after it: what falls and stays low
    longer is no burst. Where a channel tells the limiting itself, a stretch above the value that lasts longer is none.
    """
    if rule.signal.above is not None:
        found = _stretches(samples, samples.values > rule.signal.above)
        return [(start, end) for start, end in found if end - start <= rule.most_s + TOLERANCE]
    drop = rule.signal.drop or 0.0
    return _stretches(samples, np.array([_is_dip(samples, k, drop, rule.most_s) for k in range(samples.size)], bool))


def _is_dip(samples: Samples, row: int, drop: float, most_s: float) -> bool:
    at, level = float(samples.times[row]), float(samples.values[row]) + drop
    before = samples.between(at - most_s - TOLERANCE, at).values
    after = samples.between(at, at + most_s + TOLERANCE).values
    return bool(before.max() >= level and after.max() >= level)


def _stretches(samples: Samples, inside: np.ndarray) -> list[tuple[float, float]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], inside, [False])).astype(int)))
    pairs = zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
    return [(float(samples.times[first]), float(samples.times[stop - 1])) for first, stop in pairs]

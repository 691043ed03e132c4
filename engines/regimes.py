"""Regimes of a run, its starts, and the hours, starts and cycles it used, from a recorded trace."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engines.charts import RegimeName, Segmentation
from engines.traces import Floats, Trace

SECONDS_PER_HOUR = 3600.0
BLOCK = 4096  # samples looked at together
IDLE, SLOW = 3, 1  # speeds reached of the three: at or above idle; below stopping_below


@dataclass(frozen=True)
class RegimeSpan:
    """One stretch of a run in one regime. [s]"""

    regime: RegimeName
    start_s: float
    end_s: float


@dataclass(frozen=True)
class Start:
    """One turning of the engine, from the first sample at turning speed on. [s, channel's unit]"""

    turning_s: float
    light_off_s: float | None
    speed_at_light_off: float | None
    peak: float | None
    peak_s: float | None
    idle_s: float | None
    outcome: str


@dataclass(frozen=True)
class Usage:
    """What the run used: hours from light-off to the end of running, starts, cycles."""

    hours: float
    starts: int
    cycles: int


@dataclass(frozen=True)
class Stretch:
    """One regime between two rows; the edge rows belong to both neighbours."""

    regime: RegimeName
    first: int
    last: int


@dataclass(frozen=True)
class Episode:
    """One turning: the row it began at, the row of idle, the last row, and how it ended.

    ``is_start`` is False where the trace begins with the engine already running or running down;
    ``is_cut`` is True where the trace ends before the speed falls below turning.
    """

    turning: int
    idle: int | None
    end: int
    run_end: int | None
    is_start: bool
    is_cut: bool


@dataclass(frozen=True)
class Segments:
    """A run parted into regimes, by rows and by times; ``stints`` are the stretches that run time is the sum of."""

    stretches: tuple[Stretch, ...]
    spans: tuple[RegimeSpan, ...]
    starts: tuple[Start, ...]
    usage: Usage
    stints: tuple[tuple[float, float], ...] = ()


def _reached(speed: Floats, segmentation: Segmentation) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the samples at which the number of speeds reached may change, and that number, 0 to 3, at each.

    A block whose lowest and highest sample have reached the same speeds is told by its first sample alone.
    """
    bounds = np.array([segmentation.turning, segmentation.stopping_below, segmentation.idle])
    whole = speed.size - speed.size % BLOCK
    blocks = speed[:whole].reshape(-1, BLOCK)
    low, high = (np.searchsorted(bounds, side, side="right") for side in (blocks.min(axis=1), blocks.max(axis=1)))
    even = np.flatnonzero(low == high) * BLOCK
    mixed = (np.flatnonzero(low != high)[:, None] * BLOCK + np.arange(BLOCK)).ravel()
    at = np.concatenate((even, mixed, np.arange(whole, speed.size)))
    at.sort()
    return at, np.searchsorted(bounds, speed[at], side="right")


def _begins(codes: list[int]) -> RegimeName | None:
    """Return the regime a trace begins in: a first sample between turning and idle is told by what follows."""
    if codes[0] == 0:
        return None
    if codes[0] == IDLE:
        return "running"
    later = next((code for code in codes if code in (0, IDLE)), 0)
    return "starting" if later == IDLE else "stopping"


def _next(regime: RegimeName | None, code: int) -> Iterator[RegimeName | None]:
    """Yield the regimes entered at a sample, in order; none where the regime goes on."""
    if regime is None and code > 0:
        regime = "starting"
        yield regime
    if regime == "running" and code <= SLOW:
        regime = "stopping"
        yield regime
    if regime is not None and code == 0:
        yield None
    if regime in ("starting", "stopping") and code == IDLE:
        yield "running"


def _changes(rows: NDArray[np.intp], codes: NDArray[np.intp]) -> list[tuple[RegimeName | None, int]]:
    """Return each regime entered, with the row at which it was."""
    at = np.concatenate(([0], np.flatnonzero(np.diff(codes)) + 1))
    found = codes[at].tolist()
    changes: list[tuple[RegimeName | None, int]] = [(_begins(found), 0)]
    for index, code in zip(at.tolist()[1:], found[1:], strict=True):
        changes.extend((regime, int(rows[index])) for regime in _next(changes[-1][0], code))
    return changes


def _stretches(changes: list[tuple[RegimeName | None, int]], last: int) -> list[tuple[RegimeName | None, int, int]]:
    ends = [row for _, row in changes[1:]] + [last]
    return [(regime, row, end) for (regime, row), end in zip(changes, ends, strict=True)]


def _episodes(parts: list[tuple[RegimeName | None, int, int]], first_sample: int) -> list[Episode]:
    """Return the turnings: each runs from leaving rest to the fall below turning, or to the end of the trace."""
    groups: list[list[tuple[RegimeName | None, int, int]]] = []
    before: RegimeName | None = None
    for part in parts:
        if part[0] is not None:
            if before is None:
                groups.append([])
            groups[-1].append(part)
        before = part[0]
    return [_episode(group, first_sample, is_cut=group[-1] is parts[-1]) for group in groups]


def _episode(group: list[tuple[RegimeName | None, int, int]], first_sample: int, *, is_cut: bool) -> Episode:
    running = [part for part in group if part[0] == "running"]
    return Episode(
        turning=max(group[0][1], first_sample),
        idle=running[0][1] if running else None,
        end=group[-1][2],
        run_end=running[-1][2] if running else None,
        is_start=group[0][0] == "starting",
        is_cut=is_cut,
    )


def _value_at(trace: Trace, channel: str, row: int) -> float:
    """Return a channel at a row that lies between two of its valid samples, interpolated in time."""
    values = trace.channels[channel]
    valid = np.flatnonzero(np.isfinite(values))
    after = int(np.searchsorted(valid, row))
    if after == valid.size or valid[after] == row or after == 0:
        return float(values[valid[min(after, valid.size - 1)]])
    left, right = int(valid[after - 1]), int(valid[after])
    t0, t1, t = (float(trace.times[i]) for i in (left, right, row))
    share = (t - t0) / (t1 - t0) if t1 > t0 else 0.0
    return float(values[left] + (values[right] - values[left]) * share)


def _start(trace: Trace, segmentation: Segmentation, episode: Episode) -> Start:
    stop = episode.end + 1 if episode.is_cut else episode.end
    light_off = _light_off(trace, segmentation, episode.turning, stop)
    rows, readings = _valid(
        trace, segmentation.temperature, episode.turning, stop if episode.idle is None else episode.idle + 1
    )
    hottest = int(np.argmax(readings)) if readings.size else None
    return Start(
        turning_s=float(trace.times[episode.turning]),
        light_off_s=None if light_off is None else float(trace.times[light_off]),
        speed_at_light_off=None if light_off is None else _value_at(trace, segmentation.speed, light_off),
        peak=None if hottest is None else float(readings[hottest]),
        peak_s=None if hottest is None else float(trace.times[rows[hottest]]),
        idle_s=None if episode.idle is None else float(trace.times[episode.idle]),
        outcome=_outcome(episode, light_off),
    )


def _light_off(trace: Trace, segmentation: Segmentation, first: int, stop: int) -> int | None:
    """Return the row at which the temperature has first risen enough above its lowest since turning."""
    lowest = np.inf
    for start in range(first, stop, BLOCK):
        rows, readings = _valid(trace, segmentation.temperature, start, min(start + BLOCK, stop))
        if not rows.size:
            continue
        so_far = np.minimum(np.minimum.accumulate(readings), lowest)
        risen = readings - so_far >= segmentation.light_off_rise
        if risen.any():
            return int(rows[np.argmax(risen)])
        lowest = so_far[-1]
    return None


def _valid(trace: Trace, channel: str, first: int, stop: int) -> tuple[NDArray[np.intp], Floats]:
    """Return the rows from ``first`` to before ``stop`` with a valid sample of a channel, and the samples."""
    if channel not in trace.channels:
        return np.arange(0), np.array([])
    values = trace.channels[channel][first:stop]
    if values.size and np.isfinite(values.min()) and np.isfinite(values.max()):
        return np.arange(first, stop), values
    rows = np.flatnonzero(np.isfinite(values))
    return rows + first, values[rows]


def _outcome(episode: Episode, light_off: int | None) -> str:
    if episode.idle is not None:
        return "started"
    if light_off is None:
        return "motoring"
    return "cut" if episode.is_cut else "aborted"


def _stints(trace: Trace, pairs: list[tuple[Episode, Start | None]]) -> list[tuple[float, float]]:
    """Return from when to when the engine ran, by turnings: from light-off to the end of running."""
    found = []
    for episode, start in pairs:
        if episode.run_end is not None:
            lit = float(trace.times[0])
            if start is not None:
                lit = start.idle_s if start.light_off_s is None else start.light_off_s  # type: ignore[assignment]
            found.append((lit, max(lit, float(trace.times[episode.run_end]))))
    return found


def _usage(stints: list[tuple[float, float]], starts: list[Start]) -> Usage:
    outcomes = [start.outcome for start in starts]
    return Usage(
        hours=sum(end - lit for lit, end in stints) / SECONDS_PER_HOUR,
        starts=sum(outcome != "motoring" for outcome in outcomes),
        cycles=sum(outcome == "started" for outcome in outcomes),
    )


def segments_of(trace: Trace, segmentation: Segmentation | None) -> Segments | None:
    """Return a run parted into regimes with its starts and usage.

    Parameters
    ----------
    trace : Trace
        The recorded run; the speed and temperature channels as ``segmentation`` names them.
    segmentation : Segmentation or None
        The type's speeds. [speed channel's unit] and rise. [temperature channel's unit]

    Returns
    -------
    Segments or None
        None where there is no segmentation or the trace holds no valid sample of the speed.

    Notes
    -----
    Regimes change at samples of the speed channel; the sample that reaches idle belongs to running.
    Time before the first speed sample has that sample's regime, time after the last the last one's.
    A regime that takes no time is not among ``spans``.
    """
    if segmentation is None or segmentation.speed not in trace.channels:
        return None
    rows, speed = _valid(trace, segmentation.speed, 0, trace.times.size)
    if not rows.size:
        return None
    at, codes = _reached(speed, segmentation)
    parts = _stretches(_changes(rows[at], codes), trace.times.size - 1)
    pairs = [
        (episode, _start(trace, segmentation, episode) if episode.is_start else None)
        for episode in _episodes(parts, int(rows[0]))
    ]
    stretches = tuple(Stretch(regime, first, last) for regime, first, last in parts if regime is not None)
    spans = (RegimeSpan(s.regime, float(trace.times[s.first]), float(trace.times[s.last])) for s in stretches)
    stints = _stints(trace, pairs)
    starts = [start for _, start in pairs if start is not None]
    return Segments(
        stretches=stretches,
        spans=tuple(span for span in spans if span.end_s > span.start_s),
        starts=tuple(starts),
        usage=_usage(stints, starts),
        stints=tuple(stints),
    )

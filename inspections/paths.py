"""What a chart looks at: a channel's samples as a path of straight lines, with its gaps.

Values are turned by the chart's sign, so that higher is worse, and are in the chart's unit.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engines.edges import MICROSECOND
from engines.traces import Floats

Rows = NDArray[np.intp]
NO_ROW = -1


@dataclass(frozen=True)
class Gap:
    """A stretch not observed, after the point ``after`` of a path (-1: before its first), with its higher end."""

    after: int
    start_s: float
    end_s: float
    level: float


@dataclass(frozen=True)
class Path:
    """Points joined by straight lines where ``joined`` says so.

    ``times``, ``values`` and ``rows`` have shape (m,), ``joined`` has shape (m - 1,). ``rows`` is the
    trace's row of a reading and -1 for a point that is none: a regime's edge, or the end of a filled gap.
    """

    times: Floats
    values: Floats
    rows: Rows
    joined: NDArray[np.bool_]
    gaps: tuple[Gap, ...] = ()


def path_of(times: Floats, values: Floats, max_gap_s: float) -> Path | None:
    """Return the path of one channel over a whole trace, or None where it has no valid sample.

    Parameters
    ----------
    times : array of float, shape (n,)
        Times of the trace's rows. [s]
    values : array of float, shape (n,)
        The channel, turned; not finite where there is no valid sample. [chart's unit]
    max_gap_s : float
        The longest step that still joins two samples. [s]

    Returns
    -------
    Path or None
        The valid samples; a gap before the first or after the last has one end only.
    """
    rows = np.flatnonzero(np.isfinite(values))
    if not rows.size:
        return None
    at, found = times[rows], values[rows]
    bound = max_gap_s + MICROSECOND
    joined = np.diff(at) <= bound
    gaps = [Gap(k, at[k], at[k + 1], max(found[k], found[k + 1])) for k in np.flatnonzero(~joined).tolist()]
    if at[0] - times[0] > bound:
        gaps.insert(0, Gap(-1, times[0], at[0], found[0]))
    if times[-1] - at[-1] > bound:
        gaps.append(Gap(rows.size - 1, at[-1], times[-1], found[-1]))
    return Path(at, found, rows, joined, tuple(gaps))


def _edge_value(path: Path, right: int, time: float) -> float | None:
    """Return the value at a time between two points, or None where they are not joined."""
    if right in (0, path.times.size) or not path.joined[right - 1]:
        return None
    (t0, t1), (v0, v1) = path.times[right - 1 : right + 1], path.values[right - 1 : right + 1]
    return float(v0 + (v1 - v0) * ((time - t0) / (t1 - t0))) if t1 > t0 else float(v0)


def clip(path: Path, first: tuple[int, float], last: tuple[int, float]) -> Path:
    """Return the part of a whole path between two rows of the trace, both of them included.

    Parameters
    ----------
    path : Path
        A path as :func:`path_of` makes it.
    first, last : tuple of (int, float)
        The edge's row and its time. [-, s]

    Returns
    -------
    Path
        The samples between, an interpolated point at an edge that falls between two joined samples,
        and the parts of gaps that lie between, each with its own higher end.
    """
    low, high = int(np.searchsorted(path.rows, first[0])), int(np.searchsorted(path.rows, last[0], side="right"))
    start = None if first[0] in path.rows[low : low + 1] else _edge_value(path, low, first[1])
    end = None if last[0] in path.rows[max(high - 1, 0) : high] else _edge_value(path, high, last[1])
    front, back = [] if start is None else [start], [] if end is None else [end]
    values = np.concatenate((front, path.values[low:high], back))
    joined = np.ones(max(values.size - 1, 0), dtype=bool)
    links = path.joined[low : max(high - 1, low)]
    joined[len(front) : len(front) + links.size] = links
    gaps = (
        Gap(gap.after - low + len(front), max(gap.start_s, first[1]), min(gap.end_s, last[1]), gap.level)
        for gap in path.gaps
        if low - 1 <= gap.after < high
    )
    return Path(
        times=np.concatenate(([first[1]] * len(front), path.times[low:high], [last[1]] * len(back))),
        values=values,
        rows=np.concatenate(([NO_ROW] * len(front), path.rows[low:high], [NO_ROW] * len(back))).astype(np.intp),
        joined=joined,
        gaps=tuple(gap for gap in gaps if gap.end_s > gap.start_s),
    )


def fill(path: Path, limit: float, raised_by: float, *, is_closed: bool) -> Path:
    """Return the path as it may have been: raised, and each gap that touches the limit spent at its higher end.

    Parameters
    ----------
    path : Path
        The path as observed.
    limit : float
        The chart's limit, turned. [chart's unit]
    raised_by : float
        The instrument's tolerance. [chart's unit]
    is_closed : bool
        Whether a value on the limit is beyond it.

    Returns
    -------
    Path
        The raised path; where a gap does not touch the limit its ends stay apart.
    """
    touching = [gap for gap in path.gaps if _is_beyond(gap.level + raised_by, limit, is_closed=is_closed)]
    places = [gap.after + 1 for gap in touching for _ in range(2)]
    links = np.concatenate(([True], path.joined, [True])) if path.times.size else np.array([True])
    links[places] = True
    return Path(
        times=np.insert(path.times, places, [time for gap in touching for time in (gap.start_s, gap.end_s)]),
        values=np.insert(path.values, places, [gap.level for gap in touching for _ in range(2)]) + raised_by,
        rows=np.insert(path.rows, places, NO_ROW),
        joined=np.insert(links, places, True)[1:-1],
    )


def _is_beyond(value: float, limit: float, *, is_closed: bool) -> bool:
    return value >= limit if is_closed else value > limit

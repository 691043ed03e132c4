"""Smallest and largest value of each channel in each regime, by which replay finds the runs worth reading."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from engines.charts import Segmentation
from engines.regimes import segments_of
from engines.traces import Floats, Trace


@dataclass(frozen=True)
class Extreme:
    """Lowest and highest valid sample of a channel in one regime; regime "" is the whole trace. [channel's unit]"""

    channel: str
    regime: str
    lowest: float
    highest: float


def extremes_of(trace: Trace, segmentation: Segmentation | None) -> list[Extreme]:
    """Return the extremes of every channel, over the whole trace and in each regime.

    Parameters
    ----------
    trace : Trace
        The recorded run.
    segmentation : Segmentation or None
        The type's speeds, by which the run is parted.

    Returns
    -------
    list of Extreme
        Channels without a valid sample are left out.

    Notes
    -----
    A regime's extremes include the nearest valid sample on either side of each of its edges, however
    far, because interpolated edges and filled gaps reach no farther than these.
    """
    segments = segments_of(trace, segmentation)
    spans = {"": [(0, trace.times.size - 1)]}
    for stretch in segments.stretches if segments else ():
        spans.setdefault(stretch.regime, []).append((stretch.first, stretch.last))
    return [extreme for name, values in trace.channels.items() for extreme in _of_channel(name, values, spans)]


def _of_channel(name: str, values: Floats, spans: dict[str, list[tuple[int, int]]]) -> Iterator[Extreme]:
    rows = np.flatnonzero(np.isfinite(values))
    if not rows.size:
        return
    found = values[rows]
    for regime, ends in spans.items():
        parts = [_with_neighbours(rows, found, first, last) for first, last in ends]
        yield Extreme(name, regime, float(min(p.min() for p in parts)), float(max(p.max() for p in parts)))


def _with_neighbours(
    rows: "np.ndarray[tuple[int, ...], np.dtype[np.intp]]", found: Floats, first: int, last: int
) -> Floats:
    low, high = np.searchsorted(rows, first), np.searchsorted(rows, last, side="right")
    return found[max(int(low) - 1, 0) : int(high) + 1]

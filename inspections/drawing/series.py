"""A long series in few points: per pixel column its first, lowest, highest and last sample; gaps stay breaks."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engines.traces import Floats

Rows = NDArray[np.intp]


@dataclass(frozen=True)
class Series:
    """Valid samples of one channel in a window of time, and the rows before which the record has a gap.

    ``times`` [s] and ``values`` [chart's unit] have shape (n,); ``cuts`` are rows from 0 to n.
    """

    times: Floats
    values: Floats
    cuts: Rows

    @classmethod
    def of(
        cls, times: Floats, values: Floats, gaps: Sequence[tuple[float, float]], window: tuple[float, float]
    ) -> "Series":
        """Return the samples that have a value and lie in the window, cut where a gap lies between two."""
        kept = np.isfinite(values) & (times >= window[0]) & (times <= window[1])
        middles = np.array([(start + end) / 2 for start, end in gaps], dtype=float)
        return cls(times[kept], values[kept], np.unique(np.searchsorted(times[kept], middles)))

    def between(self, start: float, end: float) -> "Series":
        """Return the samples from one time to another, both included."""
        first, last = np.searchsorted(self.times, start), np.searchsorted(self.times, end, side="right")
        inner = self.cuts[(self.cuts > first) & (self.cuts < last)] - first
        return Series(self.times[first:last], self.values[first:last], inner)

    def pieces(self) -> list["Series"]:
        """Return the stretches between the gaps, none of them empty."""
        none = np.zeros(0, dtype=np.intp)
        parts = zip(np.split(self.times, self.cuts), np.split(self.values, self.cuts), strict=True)
        return [Series(times, values, none) for times, values in parts if times.size]

    def thinned(self, columns: int) -> "Series":
        """Return at most four samples of each of so many equal columns of time, every extreme among them."""
        kept = thinned_rows(self.times, self.values, columns)
        return Series(self.times[kept], self.values[kept], np.searchsorted(kept, self.cuts))


def thinned_rows(times: Floats, values: Floats, columns: int) -> Rows:
    """Return the rows that draw like the whole series when each column of time is a pixel wide.

    Parameters
    ----------
    times : array of float, shape (n,)
        Times, never decreasing. [s]
    values : array of float, shape (n,)
        Finite values at these times. [any unit]
    columns : int
        How many equal columns the time from first to last is parted into.

    Returns
    -------
    array of int, shape (at most 4 * columns,)
        Rows, increasing: of each column the first, the lowest, the highest and the last.

    Notes
    -----
    A value that stands in one sample only is the highest or lowest of its column, so it is always drawn. Nothing is
    averaged: every point drawn is a sample as recorded. Figures are never computed from these points.
    """
    if times.size <= 4 * columns:
        return np.arange(times.size)
    width = (times[-1] - times[0]) / columns or 1.0
    column = np.minimum(((times - times[0]) / width).astype(np.intp), columns - 1)
    starts = np.concatenate(([0], np.flatnonzero(np.diff(column)) + 1))
    ends = np.append(starts[1:], times.size)
    rows = [
        (start, start + values[start:end].argmin(), start + values[start:end].argmax(), end - 1)
        for start, end in zip(starts.tolist(), ends.tolist(), strict=True)
    ]
    return np.unique(np.array(rows, dtype=np.intp))


def clipped(series: Series, whole: Series, window: tuple[float, float]) -> list[tuple[float, float]]:
    """Return a thinned stretch between two times, with the values the record has at those times.

    Parameters
    ----------
    series : Series
        One stretch without a gap, thinned.
    whole : Series
        The same stretch as recorded.
    window : pair of float
        The two times. [s]

    Returns
    -------
    list of (float, float)
        Times and values, beginning and ending on the window's edges where the stretch reaches them. [s, chart's unit]
    """
    start, end = max(window[0], float(whole.times[0])), min(window[1], float(whole.times[-1]))
    if start > end:
        return []
    edges = [(at, float(np.interp(at, whole.times, whole.values))) for at in (start, end)]
    inner = (series.times > start) & (series.times < end)
    within = zip(series.times[inner].tolist(), series.values[inner].tolist(), strict=True)
    return [edges[0], *within, edges[1]]

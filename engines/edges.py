"""The allowed-time function of an area: how long a reading may stay above each value."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from engines.charts import Area, Boundary, LimitChart
from engines.traces import Floats

Places = NDArray[np.intp]
MICROSECOND = 1e-6  # times closer than this are the same [s]


@dataclass(frozen=True)
class Edge:
    """An allowed-time function T(v), for values turned so that higher is worse.

    ``values`` never decrease and ``seconds`` never increase; both have shape (n,). T is continuous
    from the right; from the last vertex on it stays at the last ``seconds``.
    """

    values: Floats
    seconds: Floats
    boundary: Boundary

    @property
    def first(self) -> float:
        """Return the value at which the area begins."""
        return float(self.values[0])

    def _between(self, left: Places, right: Places, value: Floats) -> Floats:
        if self.boundary == "step":
            held: Floats = self.seconds[left]
            return held
        width = self.values[right] - self.values[left]
        share = np.divide(value - self.values[left], width, out=np.zeros_like(width), where=width > 0)
        allowed: Floats = self.seconds[left] * (1.0 - share) + self.seconds[right] * share  # exact at either end
        return allowed

    def at(self, value: Floats) -> Floats:
        """Return the seconds allowed above each value, from the first vertex on; the lower at a vertical edge."""
        left = np.searchsorted(self.values, value, side="right") - 1
        return self._between(left, np.minimum(left + 1, self.values.size - 1), value)

    def before(self, value: Floats) -> Floats:
        """Return the limit from below of the seconds allowed at each value beyond the first vertex."""
        right = np.searchsorted(self.values, value, side="left")
        left = np.maximum(right - 1, 0)
        return self._between(left, np.minimum(right, self.values.size - 1), value)

    def reached_at(self, seconds: float, than: Literal["less", "at most"]) -> float | None:
        """Return the lowest value at which so short a time is allowed, or None.

        Parameters
        ----------
        seconds : float
            The time spent. [s]
        than : "less" or "at most"
            Whether the allowed time must be below ``seconds`` or may equal it.

        Returns
        -------
        float or None
            The infimum of the values. [turned, chart's unit]
        """
        short = self.seconds < seconds if than == "less" else self.seconds <= seconds
        if not short.any():
            return None
        k = int(np.argmax(short))
        if k == 0 or self.boundary == "step":
            return float(self.values[k])
        fall, width = self.seconds[k - 1] - self.seconds[k], self.values[k] - self.values[k - 1]
        return float(self.values[k - 1] + width * ((self.seconds[k - 1] - seconds) / fall))


def edge_of(chart: LimitChart, area: Area) -> Edge:
    """Return the allowed-time function of a chart's area, with values turned by the chart's sign.

    Parameters
    ----------
    chart : LimitChart
        The chart, for its side and how it joins vertices.
    area : Area
        One of its areas.

    Returns
    -------
    Edge
        The function. [turned chart's unit, s]
    """
    return Edge(
        values=np.array([chart.sign * vertex.value for vertex in area.allowed]),
        seconds=np.array([vertex.seconds for vertex in area.allowed], dtype=float),
        boundary=chart.boundary,
    )


def lies_inside(inner: Edge, outer: Edge) -> bool:
    """Return whether an area lies inside another: it begins no nearer and allows nowhere less time.

    Parameters
    ----------
    inner, outer : Edge
        The edges of both.

    Returns
    -------
    bool
        True also where the edges meet; times are compared to the microsecond.
    """
    if inner.first < outer.first:
        return False
    corners = np.unique(np.concatenate((inner.values, outer.values[outer.values >= inner.first])))
    past = corners[corners > inner.first]
    here, below = inner.at(corners) - outer.at(corners), inner.before(past) - outer.before(past)
    return bool((np.concatenate((here, below)) >= -MICROSECOND).all())

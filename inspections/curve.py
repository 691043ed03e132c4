"""How long a reading was beyond each value: duration curves, and how they meet an area's edge.

Values are turned so that higher is worse. ``is_closed`` says that the boundary itself counts: a curve
then measures the time at or above a value, otherwise the time strictly above it.
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from engines.edges import MICROSECOND, Edge
from engines.traces import Floats


@dataclass(frozen=True)
class Meeting:
    """Where a shape lies farthest beyond an area's edge: a value, the time spent beyond it, the time allowed.

    ``is_reached`` says that time spent at the value itself counts. [turned chart's unit, s]
    """

    value: float
    spent_s: float
    allowed_s: float
    is_reached: bool


@dataclass(frozen=True)
class Rectangle:
    """All the time beyond the limit taken to be spent at the peak, as a printed chart is read by hand."""

    seconds: float
    peak: float
    is_closed: bool

    def _reaches(self, edge: Edge) -> bool:
        beyond = self.peak >= edge.first if self.is_closed else self.peak > edge.first
        return beyond and self.seconds > 0

    def _allowed(self, edge: Edge) -> float:
        peak = np.array([self.peak])
        return float((edge.at(peak) if self.is_closed else edge.before(peak))[0])

    def enters(self, edge: Edge) -> bool:
        """Return whether the rectangle reaches into the area."""
        if not self._reaches(edge):
            return False
        over = self.seconds - self._allowed(edge)
        return self.seconds > MICROSECOND and over >= -MICROSECOND if self.is_closed else over > MICROSECOND

    def deciding(self, edge: Edge) -> Meeting | None:
        """Return where it meets the area's edge: at its peak, or None where that does not reach the area's values."""
        if not self._reaches(edge):
            return None
        return Meeting(self.peak, self.seconds, self._allowed(edge), is_reached=True)

    def seconds_short(self, edge: Edge) -> float | None:
        """Return how much longer would have entered the area, or None where its values were not reached. [s]"""
        return max(0.0, self._allowed(edge) - self.seconds) if self._reaches(edge) else None

    def value_short(self, edge: Edge) -> float | None:
        """Return how much higher would have entered the area, or None where the time was too short. [unit]"""
        value = edge.reached_at(self.seconds, "at most" if self.is_closed else "less") if self.seconds > 0 else None
        return None if value is None else max(0.0, value - self.peak)


@dataclass(frozen=True)
class Curve:
    """The exact duration curve of straight pieces, each from ``low`` to ``high`` in ``seconds``.

    The three arrays have shape (n,); no piece goes below ``limit``.
    """

    low: Floats
    high: Floats
    seconds: Floats
    limit: float
    is_closed: bool

    @property
    def total(self) -> float:
        """Return the whole time beyond the limit. [s]"""
        return math.fsum(self.seconds)

    def beyond(self, value: float) -> float:
        """Return the time beyond one value, summed without loss. [s]"""
        width = self.high - self.low
        level = self.high >= value if self.is_closed else self.high > value
        share = np.divide(self.high - value, width, out=level.astype(float), where=width > 0)
        return math.fsum(self.seconds * np.clip(share, 0.0, 1.0))

    @cached_property
    def _corners(self) -> Floats:
        return np.unique(np.concatenate(([self.limit], self.low, self.high)))

    @cached_property
    def _sides(self) -> tuple[Floats, Floats]:
        """Return the time at or above, and the time strictly above, each corner.

        Summed from the top down, so that it is exactly 0 above the last value that took any time, and
        in extended precision, because pieces that are nearly level have very large slopes.
        """
        corners = self._corners
        lows, highs = np.searchsorted(corners, self.low), np.searchsorted(corners, self.high)
        sloped = highs > lows
        rate = np.divide(self.seconds, self.high - self.low, out=np.zeros_like(self.seconds), where=sloped)
        change = np.zeros(corners.size, dtype=np.longdouble)
        np.add.at(change, highs[sloped], rate[sloped])
        np.subtract.at(change, lows[sloped], rate[sloped])
        level = np.zeros(corners.size, dtype=np.longdouble)
        np.add.at(level, highs[~sloped], self.seconds[~sloped])
        slope = np.cumsum(change[::-1])[::-1]
        gained = slope[1:] * np.diff(corners) + level[1:]
        above = np.append(np.cumsum(gained[::-1])[::-1], 0.0)
        return (above + level).astype(float), above.astype(float)

    def _at(self, values: Floats, *, is_closed: bool) -> Floats:
        corners, (at_least, above) = self._corners, self._sides
        left = np.searchsorted(corners, values, side="right") - 1
        right = np.minimum(left + 1, corners.size - 1)
        width = corners[right] - corners[left]
        share = np.divide(values - corners[left], width, out=np.zeros_like(values), where=width > 0)
        between = above[left] + (at_least[right] - above[left]) * share
        exact = values == corners[left]
        past = values > corners[-1]
        known = np.where(exact, at_least[left] if is_closed else above[left], between)
        return np.where(past, 0.0, known)

    @cached_property
    def _top(self) -> float:
        """Return the value up to which some time is spent."""
        spent = np.flatnonzero(self._sides[1] > 0)
        return float(self._corners[spent[-1] + 1]) if spent.size else self.limit

    def _candidates(self, edge: Edge) -> Floats:
        corners = np.concatenate((self._corners[self._corners >= edge.first], edge.values))
        return np.unique(corners)

    def enters(self, edge: Edge) -> bool:
        """Return whether the curve lies beyond the edge anywhere; exact, from the corners of both."""
        values = self._candidates(edge)
        spent = self._at(values, is_closed=True)
        if self.is_closed:
            return bool(((spent > MICROSECOND) & (spent - edge.at(values) >= -MICROSECOND)).any())
        here = self._at(values, is_closed=False) - edge.at(values)
        below = (spent - edge.before(values))[1:]
        return bool((here > MICROSECOND).any() or (below > MICROSECOND).any())

    def deciding(self, edge: Edge) -> Meeting | None:
        """Return where it lies farthest beyond the area's edge, nearest the limit of equals; None as for short."""
        values = self._candidates(edge)
        past = values[(values > edge.first) & (values <= self._top)]
        here = self._at(values, is_closed=self.is_closed)
        met = np.concatenate((values[here > 0], past))
        if not met.size:
            return None
        spent = np.concatenate((here[here > 0], self._at(past, is_closed=True)))
        allowed = np.concatenate((edge.at(values)[here > 0], edge.before(past)))
        k = int(np.argmax(spent - allowed))
        is_reached = self.is_closed or k >= met.size - past.size
        return Meeting(float(met[k]), float(spent[k]), float(allowed[k]), is_reached)

    def seconds_short(self, edge: Edge) -> float | None:
        """Return the least T − D where any time was spent, or None where there is no such value. [s]"""
        values = self._candidates(edge)
        spent = self._at(values, is_closed=self.is_closed)
        short = (edge.at(values) - spent)[spent > 0]
        past = values[(values > edge.first) & (values <= self._top)]
        below = edge.before(past) - self._at(past, is_closed=True)
        found = np.concatenate((short, below))
        return max(0.0, float(found.min())) if found.size else None

    def _highest(self, seconds: Floats, *, or_equal: bool) -> Floats:
        """Return the highest value above which more than (or at least) so long was spent. [unit]"""
        corners, (at_least, above) = self._corners, self._sides
        left = np.searchsorted(-at_least, -seconds, side="right" if or_equal else "left") - 1
        left = np.maximum(left, 0)
        right = np.minimum(left + 1, corners.size - 1)
        over, fall = above[left] - seconds, above[left] - at_least[right]
        share = np.divide(over, fall, out=np.zeros_like(over), where=(over > 0) & (fall > 0))
        return corners[left] + share * (corners[right] - corners[left])

    def value_short(self, edge: Edge) -> float | None:
        """Return the least rise by which the curve would enter the area, or None where it was too short. [unit]"""
        values, allowed, or_equal = self._meetings(edge)
        or_equal |= self.is_closed
        reaches = np.where(or_equal, allowed <= self.total, allowed < self.total)
        if self.total <= 0 or not reaches.any():
            return None
        values, allowed, or_equal = values[reaches], allowed[reaches], or_equal[reaches]
        highest = np.where(or_equal, self._highest(allowed, or_equal=True), self._highest(allowed, or_equal=False))
        highest = np.where(allowed > 0, highest, self._top)
        return max(0.0, float((values - highest).min()))

    def _meetings(self, edge: Edge) -> tuple[Floats, Floats, NDArray[np.bool_]]:
        """Return the values at which the horizontal distance can be least, T there, and where T falls just past.

        These are the edge's vertices and, on its slopes, the values at which T equals D at one of its corners.
        """
        at = np.searchsorted(edge.values, edge.values, side="right") - 1
        after = np.minimum(at + 1, edge.values.size - 1)
        allowed = edge.seconds[at]
        is_linear = edge.boundary == "linear"
        found = [(edge.values, allowed, (edge.seconds[after] < allowed) & is_linear)]
        levels = np.unique(np.concatenate(self._sides))
        for k in range(edge.values.size - 1 if is_linear else 0):
            top, foot = edge.seconds[k], edge.seconds[k + 1]
            met = levels[(levels < top) & (levels > foot)]
            width = edge.values[k + 1] - edge.values[k]
            values = edge.values[k] + width * ((top - met) / (top - foot)) if met.size else met
            found.append((values, met, np.full(met.size, width > 0)))
        values, allowed, falls = (np.concatenate(column) for column in zip(*found, strict=True))
        return values, allowed, falls

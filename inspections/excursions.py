"""Excursions of a path beyond a limit: found, rejoined, and measured."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from engines.edges import MICROSECOND
from engines.traces import Floats
from inspections.curve import Curve
from inspections.paths import Path


@dataclass(frozen=True)
class Bound:
    """The limit of a chart, turned, and whether a value on it is beyond it."""

    limit: float
    is_closed: bool

    def passed_by(self, values: Floats) -> "np.ndarray[tuple[int, ...], np.dtype[np.bool_]]":
        """Return where values are beyond the limit."""
        return values >= self.limit if self.is_closed else values > self.limit


@dataclass(frozen=True)
class Stay:
    """One unbroken stay beyond the limit: points ``first`` to ``last`` of a path, entered and left at two times."""

    path: Path
    first: int
    last: int
    start_s: float
    end_s: float

    @property
    def peak(self) -> float:
        """Return the highest value. [turned]"""
        return float(self.path.values[self.first : self.last + 1].max())

    @property
    def rows(self) -> "np.ndarray[tuple[int, ...], np.dtype[np.intp]]":
        """Return the rows of its readings."""
        rows = self.path.rows[self.first : self.last + 1]
        return rows[rows >= 0]

    @property
    def touches_gap(self) -> bool:
        """Return whether it begins or ends where a gap does."""
        return any(gap.after + 1 == self.first or gap.after == self.last for gap in self.path.gaps)

    def corners(self, limit: float) -> tuple[Floats, Floats]:
        """Return times and values of its corners, the crossings of the limit included."""
        inside = slice(self.first, self.last + 1)
        times, values = self.path.times[inside], self.path.values[inside]
        starts = [self.start_s] if self._is_crossed(self.first - 1) else []
        ends = [self.end_s] if self._is_crossed(self.last) else []
        return (
            np.concatenate((starts, times, ends)),
            np.concatenate(([limit] * len(starts), values, [limit] * len(ends))),
        )

    def _is_crossed(self, link: int) -> bool:
        return 0 <= link < self.path.joined.size and bool(self.path.joined[link])


@dataclass(frozen=True)
class Spell:
    """One excursion: the stays that count as one, in order of time."""

    stays: tuple[Stay, ...]

    @property
    def start_s(self) -> float:
        """Return when it begins. [s]"""
        return self.stays[0].start_s

    @property
    def end_s(self) -> float:
        """Return when it ends. [s]"""
        return self.stays[-1].end_s

    @property
    def peak(self) -> float:
        """Return the highest value. [turned]"""
        return max(stay.peak for stay in self.stays)

    def holds_any(self, others: "Iterable[Spell]") -> bool:
        """Return whether one of several excursions begins in it."""
        return any(self.start_s <= other.start_s <= self.end_s for other in others)

    def holds_row(self, *rows: int) -> bool:
        """Return whether one of the trace's rows is a reading of it."""
        return any(np.isin(rows, stay.rows).any() for stay in self.stays)

    def curve(self, bound: Bound) -> Curve:
        """Return the duration curve of all its stays together."""
        corners = [stay.corners(bound.limit) for stay in self.stays]
        low, high, seconds = (
            np.concatenate(column)
            for column in zip(
                *((np.minimum(v[:-1], v[1:]), np.maximum(v[:-1], v[1:]), np.diff(t)) for t, v in corners),
                strict=True,
            )
        )
        return Curve(low=low, high=high, seconds=seconds, limit=bound.limit, is_closed=bound.is_closed)


def _crossing(path: Path, below: int, beyond: int, limit: float) -> float:
    """Return when the line between two joined points crosses the limit. [s]"""
    t0, t1, v0, v1 = path.times[below], path.times[beyond], path.values[below], path.values[beyond]
    return float(t0 + (limit - v0) / (v1 - v0) * (t1 - t0))


def _stay(path: Path, first: int, last: int, limit: float) -> Stay:
    is_entered = first > 0 and path.joined[first - 1]
    is_left = last < path.joined.size and path.joined[last]
    return Stay(
        path=path,
        first=first,
        last=last,
        start_s=_crossing(path, first - 1, first, limit) if is_entered else float(path.times[first]),
        end_s=_crossing(path, last + 1, last, limit) if is_left else float(path.times[last]),
    )


def stays_of(path: Path, bound: Bound) -> list[Stay]:
    """Return the unbroken stays of a path beyond a limit, in order.

    Parameters
    ----------
    path : Path
        Points in order of time. [s, turned chart's unit]
    bound : Bound
        The limit.

    Returns
    -------
    list of Stay
        A stay that takes no time is left out unless it touches a gap.
    """
    beyond = np.flatnonzero(bound.passed_by(path.values))
    if not beyond.size:
        return []
    ends = np.flatnonzero((np.diff(beyond) > 1) | ~path.joined[beyond[:-1]])
    firsts = beyond[np.concatenate(([0], ends + 1))].tolist()
    lasts = beyond[np.concatenate((ends, [beyond.size - 1]))].tolist()
    stays = (_stay(path, first, last, bound.limit) for first, last in zip(firsts, lasts, strict=True))
    return [stay for stay in stays if stay.end_s > stay.start_s or stay.touches_gap]


def rejoined(stays: Iterable[Stay], rejoin_s: float, *, whole_run: bool) -> list[Spell]:
    """Return stays gathered into excursions.

    Parameters
    ----------
    stays : iterable of Stay
        In order of time.
    rejoin_s : float
        The longest separation of two that count as one; to the microsecond. [s]
    whole_run : bool
        Whether all of a run count as one.

    Returns
    -------
    list of Spell
        The excursions, in order of time.
    """
    stays = list(stays)
    if not stays:
        return []
    if whole_run:
        return [Spell(tuple(stays))]
    apart = [b.start_s - a.end_s > rejoin_s + MICROSECOND for a, b in pairwise(stays)]
    cuts = [0, *(k + 1 for k, is_apart in enumerate(apart) if is_apart), len(stays)]
    return [Spell(tuple(stays[a:b])) for a, b in pairwise(cuts)]


def begins_in(spell: Spell, start_s: float, end_s: float, *, is_closed: bool) -> bool:
    """Return whether an excursion begins in a stretch of time, or is going on when that begins.

    Parameters
    ----------
    spell : Spell
        The excursion. [s]
    start_s, end_s : float
        The stretch; its end is not part of it. [s]
    is_closed : bool
        Whether the excursion's own ends are part of it.

    Returns
    -------
    bool
        Whether it does.
    """
    if start_s <= spell.start_s < end_s:
        return True
    if is_closed:
        return spell.start_s <= start_s <= spell.end_s
    return spell.start_s < start_s < spell.end_s

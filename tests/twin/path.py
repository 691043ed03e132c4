"""What is known of a channel over time: points joined by straight lines, and gaps."""

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from tests.twin.reading import Chart, longer


@dataclass(frozen=True)
class Point:
    """A value at a time; ``row`` is None where no sample was taken."""

    t: Fraction
    x: Fraction
    row: int | None = None


@dataclass(frozen=True)
class Gap:
    """Unobserved time; ``x`` is the higher of its ends, or its only end."""

    start: Fraction
    end: Fraction
    x: Fraction


# Neighbouring points of a stretch are joined; a gap stands between points that are not.
Stretch = list[Point | Gap]


def samples_of(times: list[Fraction], column: list[Fraction | None], sign: int = 1) -> list[Point]:
    """Return the valid samples of a column, values multiplied by the sign."""
    rows = enumerate(zip(times, column, strict=True))
    return [Point(t, sign * x, row) for row, (t, x) in rows if x is not None]


def stretch_of(times: list[Fraction], samples: list[Point], bound: Fraction) -> Stretch:
    """Return the whole trace of a channel that has at least one sample."""
    first, last = samples[0], samples[-1]
    stretch: Stretch = []
    if longer(first.t - times[0], bound):
        stretch.append(Gap(times[0], first.t, first.x))
    stretch.append(first)
    for a, b in pairwise(samples):
        if longer(b.t - a.t, bound):
            stretch.append(Gap(a.t, b.t, max(a.x, b.x)))
        stretch.append(b)
    if longer(times[-1] - last.t, bound):
        stretch.append(Gap(last.t, times[-1], last.x))
    return stretch


def between(a: Point, b: Point, t: Fraction) -> Fraction:
    """Return the value at a time on the line from one point to a later one."""
    return a.x + (b.x - a.x) * (t - a.t) / (b.t - a.t)


def edge_points(a: Point, b: Point, times: list[Fraction], rows: tuple[int, int]) -> list[Point]:
    """Return the interpolated points at those window edges that lie between two joined samples."""
    assert a.row is not None
    assert b.row is not None
    inside = [row for row in rows if a.row < row < b.row and a.t < b.t]
    return [Point(times[row], between(a, b, times[row])) for row in inside]


def clip(stretch: Stretch, times: list[Fraction], rows: tuple[int, int]) -> Stretch:
    """Return the part of a whole trace between two rows, both included."""
    clipped: Stretch = []
    before: Point | Gap | None = None
    for item in stretch:
        if isinstance(item, Gap):
            start, end = max(item.start, times[rows[0]]), min(item.end, times[rows[1]])
            if start < end:
                clipped.append(Gap(start, end, item.x))
        else:
            if isinstance(before, Point):
                clipped.extend(edge_points(before, item, times, rows))
            if item.row is not None and rows[0] <= item.row <= rows[1]:
                clipped.append(item)
        before = item
    return clipped


def raised(stretch: Stretch, by: Fraction) -> Stretch:
    """Return the trace with every value, those of gaps included, raised."""
    return [replace(item, x=item.x + by) for item in stretch]


def filled(stretch: Stretch, chart: Chart) -> Stretch:
    """Return the trace with each gap that has an end beyond the limit spent at its higher end."""
    full: Stretch = []
    for item in stretch:
        if isinstance(item, Gap) and chart.is_out(item.x):
            full.extend([Point(item.start, item.x), Point(item.end, item.x)])
        else:
            full.append(item)
    return full

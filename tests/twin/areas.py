"""Allowed-time functions, the area an excursion enters, and its margin to the next one."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from tests.twin.curve import ZERO, Curve
from tests.twin.reading import MICROSECOND, Area, Chart


@dataclass(frozen=True)
class Edge:
    """The allowed-time function of an area, defined from its first corner on."""

    area: Area

    @property
    def first(self) -> Fraction:
        """Return the value from which the area reaches."""
        return self.area.corners[0][0]

    def _from(self, index: int, value: Fraction) -> Fraction:
        v0, s0 = self.area.corners[index]
        if not self.area.linear or index + 1 == len(self.area.corners):
            return s0
        v1, s1 = self.area.corners[index + 1]
        return s0 + (s1 - s0) * (value - v0) / (v1 - v0)

    def at(self, value: Fraction) -> Fraction:
        """Return the allowed time at a value; on a vertical edge the lower."""
        return self._from(max(i for i, (v, _) in enumerate(self.area.corners) if v <= value), value)

    def below(self, value: Fraction) -> Fraction:
        """Return the limit from below at a value past the first corner."""
        return self._from(max(i for i, (v, _) in enumerate(self.area.corners) if v < value), value)

    def slopes(self) -> Iterator[tuple[tuple[Fraction, Fraction], tuple[Fraction, Fraction]]]:
        """Yield the corners between which the allowed time falls gradually."""
        for a, b in pairwise(self.area.corners):
            if self.area.linear and a[0] < b[0] and a[1] > b[1]:
                yield a, b

    def falls_after(self, value: Fraction) -> bool:
        """Tell whether the allowed time falls gradually just above a value."""
        return any(a[0] <= value < b[0] for a, b in self.slopes())


def breakpoints(curve: Curve, edge: Edge) -> list[Fraction]:
    """Return the values of the area at which the curve or the edge turns."""
    values = set(curve.levels()) | {value for value, _ in edge.area.corners}
    return sorted(value for value in values if value >= edge.first)


def enters(curve: Curve, area: Area, chart: Chart) -> bool:
    """Tell whether an excursion enters an area, times compared to the microsecond."""
    edge = Edge(area)
    values = breakpoints(curve, edge)
    if chart.on_line_is_out:
        lasting = [value for value in values if curve.at(value) > MICROSECOND]
        return any(curve.at(value) >= edge.at(value) - MICROSECOND for value in lasting)
    at = any(curve.at(value) > edge.at(value) + MICROSECOND for value in values)
    past = [value for value in values if value > edge.first]
    return at or any(curve.below(value) > edge.below(value) + MICROSECOND for value in past)


def area_index(curve: Curve, chart: Chart) -> int:
    """Return the number of the most severe area entered, -1 for none."""
    return max((i for i, area in enumerate(chart.areas) if enters(curve, area, chart)), default=-1)


def seconds_short(curve: Curve, edge: Edge) -> Fraction | None:
    """Return how much longer at the values seen would have entered an area."""
    values = breakpoints(curve, edge)
    short = [edge.at(value) - curve.at(value) for value in values if curve.at(value) > 0]
    for a, b in pairwise(values):
        # The curve is straight between the two, so it is above nothing there if it is so halfway.
        if curve.at((a + b) / 2) > 0:
            short.append(edge.below(b) - curve.below(b))
            short.append(edge.at(a) - curve.above(a))
    return max(min(short), ZERO) if short else None


def reach(curve: Curve, seconds: Fraction, strictly: bool) -> Fraction | None:
    """Return the supremum of the values beyond the limit that lasted more than, or at least, a time."""

    def lasted(time: Fraction) -> bool:
        return time > seconds if strictly else time >= seconds

    levels = curve.levels()
    found = [value for value in levels if lasted(curve.at(value))]
    for a, b in pairwise(levels):
        high, low = curve.above(a), curve.below(b)
        if lasted(low):
            found.append(b)
        elif lasted(high):
            found.append(a + (b - a) * (high - seconds) / (high - low))
    return max(found, default=None)


def turning_values(curve: Curve, edge: Edge) -> set[Fraction]:
    """Return the edge's corners, and where the time it allows is one at which the curve turns."""
    values = {value for value, _ in edge.area.corners}
    times = {time for level in curve.levels() for time in (curve.at(level), curve.below(level), curve.above(level))}
    for (v0, s0), (v1, s1) in edge.slopes():
        values |= {v0 + (v1 - v0) * (s0 - time) / (s0 - s1) for time in times if s1 < time < s0}
    return values


def value_short(curve: Curve, edge: Edge, chart: Chart) -> Fraction | None:
    """Return how much further beyond the limit for as long would have entered an area."""
    rises = []
    for value in turning_values(curve, edge):
        allowed = edge.at(value)
        if chart.on_line_is_out:
            reached = [reach(curve, allowed, strictly=allowed == 0)]
        else:
            reached = [reach(curve, allowed, strictly=True)]
            if edge.falls_after(value):
                reached.append(reach(curve, allowed, strictly=False))
        rises += [max(value - level, ZERO) for level in reached if level is not None]
    return min(rises, default=None)


def margin(curve: Curve, entered: int, chart: Chart) -> dict[str, str | Fraction | None] | None:
    """Return how far an excursion stayed from the next more severe area."""
    if entered + 1 == len(chart.areas):
        return None
    edge = Edge(chart.areas[entered + 1])
    return {
        "next_area": edge.area.name,
        "seconds": seconds_short(curve, edge),
        "value": value_short(curve, edge, chart),
    }

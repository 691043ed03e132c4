"""Duration curves: the time spent beyond each value, and the rectangle read by hand."""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Protocol

from tests.twin.excursions import Excursion
from tests.twin.reading import Chart

ZERO = Fraction(0)


class Curve(Protocol):
    """A time that never grows with the value: at it, just below it and just above it."""

    def at(self, value: Fraction) -> Fraction: ...

    def below(self, value: Fraction) -> Fraction: ...

    def above(self, value: Fraction) -> Fraction: ...

    def levels(self) -> list[Fraction]: ...


def time_over(x0: Fraction, x1: Fraction, seconds: Fraction, value: Fraction) -> Fraction:
    """Return the time a sloping line spends over a value."""
    low, high = min(x0, x1), max(x0, x1)
    share = (high - value) / (high - low)
    return seconds * min(max(share, ZERO), Fraction(1))


@dataclass(frozen=True)
class Durations:
    """The true curve of an excursion."""

    excursion: Excursion
    chart: Chart

    def time(self, value: Fraction, or_at: bool) -> Fraction:
        """Return the time spent over a value, or at it too."""
        total = ZERO
        for line in self.excursion.lines:
            for a, b in pairwise(line):
                if a.x != b.x:
                    total += time_over(a.x, b.x, b.t - a.t, value)
                elif a.x > value or (or_at and a.x == value):
                    total += b.t - a.t
        return total

    def at(self, value: Fraction) -> Fraction:
        """Return the curve's value, by the chart's rule for the line itself."""
        return self.time(value, or_at=self.chart.on_line_is_out)

    def below(self, value: Fraction) -> Fraction:
        """Return the limit from below."""
        return self.time(value, or_at=True)

    def above(self, value: Fraction) -> Fraction:
        """Return the limit from above."""
        return self.time(value, or_at=False)

    def levels(self) -> list[Fraction]:
        """Return the values between which the curve is straight, from the limit up."""
        return sorted({self.chart.limit} | {point.x for line in self.excursion.lines for point in line})


@dataclass(frozen=True)
class Rectangle:
    """The whole time beyond the limit taken to be at the peak."""

    seconds: Fraction
    peak: Fraction
    chart: Chart

    def at(self, value: Fraction) -> Fraction:
        """Return the whole time up to the peak, by the chart's rule for the peak itself."""
        return self.below(value) if self.chart.on_line_is_out else self.above(value)

    def below(self, value: Fraction) -> Fraction:
        """Return the limit from below."""
        return self.seconds if value <= self.peak else ZERO

    def above(self, value: Fraction) -> Fraction:
        """Return the limit from above."""
        return self.seconds if value < self.peak else ZERO

    def levels(self) -> list[Fraction]:
        """Return the limit and the peak."""
        return sorted({self.chart.limit, self.peak})


def judged_curve(excursion: Excursion, chart: Chart) -> Curve:
    """Return the curve by which the chart's method judges an excursion."""
    true = Durations(excursion, chart)
    return Rectangle(true.at(chart.limit), excursion.peak, chart) if chart.by_peak else true

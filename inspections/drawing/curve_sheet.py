"""Where the parts of an excursion's chart stand: box, scales and ticks."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from engines.charts import LimitChart
from inspections.drawing.bands import levels_of
from inspections.drawing.scale import Scale, clock_ticks, round_step, value_ticks
from inspections.drawing.shapes import Point
from inspections.drawing.sheet import Frame
from inspections.drawing.words import clock_text, figure

CLOCK_FROM = 600.0  # from this long on, times are marked in minutes and seconds [s]
SHORT, GIVEN_SHARE = 0.3, 0.6  # an excursion below this share of the time axis is given this share of it

Corner = tuple[float, float]  # time and value [s, chart's unit]


@dataclass(frozen=True)
class Sheet:
    """The chart, its box and its scales. [s, chart's unit, px]"""

    chart: LimitChart
    frame: Frame
    x: Scale
    y: Scale

    @property
    def turn(self) -> float | None:
        """Return the time at which the scale of time changes, or None."""
        return self.x.values[1] if len(self.x.values) == 3 else None

    @property
    def end(self) -> float:
        """Return the value at the edge of the box on the far side of the limit."""
        return self.y.high if self.chart.side == "above" else self.y.low

    def placed(self, corners: Sequence[Corner]) -> tuple[Point, ...]:
        """Return corners in pixels, one more wherever a straight edge crosses the change of scale."""
        points: list[Point] = []
        for (time, value), before in zip(corners, [corners[0], *corners], strict=False):
            if self.turn is not None and (before[0] - self.turn) * (time - self.turn) < 0:
                share = (self.turn - before[0]) / (time - before[0])
                points.append((self.x.at(self.turn), self.y.at(before[1] + share * (value - before[1]))))
            points.append((self.x.at(time), self.y.at(value)))
        return tuple((round(x, 2), round(y, 2)) for x, y in points)


def time_scale(chart: LimitChart, seconds: float, left: float, right: float) -> Scale:
    """Return a scale of time on which the longest allowed time has its place, and a short excursion room to be read.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    seconds : float
        The excursion's time beyond the limit. [s]
    left, right : float
        Ends of the axis. [px]

    Returns
    -------
    Scale
        From 0 s; of two parts where the excursion would take little of one. [s to px]
    """
    longest = max([seconds, *(vertex.seconds for area in chart.areas for vertex in area.allowed)])
    end = 1.15 * longest or 1.0
    if 0 < seconds < SHORT * longest:
        step = round_step(1.4 * seconds, 4)
        turn = step * np.ceil(1.4 * seconds / step)
        return Scale((0.0, float(turn), end), (left, left + GIVEN_SHARE * (right - left), right))
    return Scale((0.0, end), (left, right))


def beyond_scale(chart: LimitChart, peak: float, top: float, bottom: float, size: float) -> Scale:
    """Return a scale of values that leaves two lines of text on the near side of the limit.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    peak : float
        The excursion's worst value. [chart's unit]
    top, bottom : float
        Ends of the axis. [px]
    size : float
        Size of letters. [px]

    Returns
    -------
    Scale
        Upward on the page whatever the side of the limit. [chart's unit to px]
    """
    limit = chart.sign * chart.limit
    farthest = max(chart.sign * peak, *(chart.sign * level for level in levels_of(chart)))
    far = limit + 1.25 * (max(farthest - limit, 0.02 * abs(limit)) or 1.0)
    if chart.side == "below" and farthest < 0:
        far = min(far, 0.0)
    near = limit - (far - limit) * 2.2 * size / (bottom - top)
    if chart.side == "above":
        return Scale((near, far), (bottom, top))
    return Scale((-far, -near), (bottom, top))


def time_ticks(sheet: Sheet) -> list[tuple[float, str]]:
    """Return round times: seconds, or minutes and seconds on a long axis.

    Parameters
    ----------
    sheet : Sheet
        The chart's sheet.

    Returns
    -------
    list of (float, str)
        Times and their texts. [s]
    """
    clock = sheet.x.high >= CLOCK_FROM
    ticks: list[tuple[float, str]] = []
    for low, high in zip(sheet.x.values, sheet.x.values[1:], strict=False):
        count = int((sheet.x.at(high) - sheet.x.at(low)) / (5 * sheet.frame.size))
        times = clock_ticks(low, high, count) if clock else value_ticks(low, high, count)
        ticks += [(at, clock_text(at) if clock else figure(at)) for at in times]
    return sorted(set(ticks))

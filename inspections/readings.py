"""The verdict on readings that a person wrote down: a peak and the seconds beyond the limit."""

import math
from dataclasses import dataclass

from engines.charts import LimitChart
from engines.units import convert
from inspections.chart_judging import area_entered, area_name, levels_of, margin_of
from inspections.curve import Rectangle
from inspections.verdict import Excursion, Level


@dataclass(frozen=True)
class TypedReading:
    """Peak and seconds beyond a chart's limit; None where a person does not know. [unit, s]"""

    chart: str
    unit: str
    peak: float | None
    seconds: float | None


def is_beyond(chart: LimitChart, value: float) -> bool:
    """Return whether a value is beyond a chart's limit.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    value : float
        The reading. [chart's unit]

    Returns
    -------
    bool
        The limit itself is beyond it only where the chart says so.
    """
    turned, limit = chart.sign * value, chart.sign * chart.limit
    return turned >= limit if chart.on_boundary == "beyond" else turned > limit


def judge_reading(chart: LimitChart, reading: TypedReading, number: int) -> Excursion | None:
    """Return the verdict on one reading, or None where it is not beyond the chart's limit.

    Parameters
    ----------
    chart : LimitChart
        The chart whose limit the reading is about.
    reading : TypedReading
        What was written down.
    number : int
        Which event of the chart it is, from 1.

    Returns
    -------
    Excursion or None
        Judged as the whole time at the peak, also where the chart asks for ``time_above``, and marked
        as a reading.

    Notes
    -----
    An unknown peak or time proves nothing, and may have been the worst: it falls to the most severe
    area that it can (14 CFR gives no rule for this; see Standard 625 Appendix G (2) on who judges).
    """
    peak = None if reading.peak is None else convert(reading.peak, reading.unit, chart.unit)
    if peak is not None and not is_beyond(chart, peak):
        return None
    proven, worst = reading_shapes(chart, peak, reading.seconds)
    entered = area_entered(chart, proven)
    return Excursion(
        chart=chart.name,
        channel=chart.channel,
        unit=chart.unit,
        side=chart.side,
        start_s=None,
        end_s=None,
        open_ended=reading.seconds is None,
        peak=peak,
        seconds_above=reading.seconds,
        levels=_levels(chart, proven),
        area=area_name(chart, entered),
        area_possible=area_name(chart, area_entered(chart, worst)),
        possible=number,
        margin=margin_of(chart, proven, entered),
        evidence="reading",
    )


def reading_shapes(chart: LimitChart, peak: float | None, seconds: float | None) -> tuple[Rectangle, Rectangle]:
    """Return what a reading is held against the areas as: what it proves, and what it may have been.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    peak : float or None
        The reading. [chart's unit]
    seconds : float or None
        The time beyond the limit. [s]

    Returns
    -------
    pair of Rectangle
        An unknown figure is nothing in the first and without end in the second.
    """
    is_closed = chart.on_boundary == "beyond"
    proven = _rectangle(chart, peak, seconds, is_closed=is_closed, unknown=0.0)
    return proven, _rectangle(chart, peak, seconds, is_closed=is_closed, unknown=math.inf)


def _rectangle(
    chart: LimitChart, peak: float | None, seconds: float | None, *, is_closed: bool, unknown: float
) -> Rectangle:
    """Return time and peak as a rectangle; what is not known is 0 beyond the limit, or without end."""
    turned = math.inf if peak is None else chart.sign * peak
    if peak is None and unknown == 0.0:
        turned = chart.sign * chart.limit
    return Rectangle(seconds=unknown if seconds is None else seconds, peak=turned, is_closed=is_closed)


def _levels(chart: LimitChart, shape: Rectangle) -> tuple[Level, ...]:
    """Return the time beyond each level, all of it taken to be spent at the peak."""
    reached = ((v, chart.sign * v) for v in levels_of(chart))
    return tuple(
        Level(v, shape.seconds if turned < shape.peak or (shape.is_closed and turned == shape.peak) else 0.0)
        for v, turned in reached
    )

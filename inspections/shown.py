"""Limits and excursions on the scale that a person chose: what is kept stays, differences convert as differences."""

from collections.abc import Mapping
from dataclasses import replace

from engines.charts import Area, Channel, EngineTypeData, LimitChart
from engines.scales import Scale
from engines.traces import Trace
from engines.units import convert, convert_difference
from inspections.verdict import Excursion, Level, Margin

Scales = Mapping[str, Scale]


def _at(value: float, unit: str, scale: Scale) -> float:
    return scale.value(convert(value, unit, scale.unit))


def chart_on(chart: LimitChart, scale: Scale) -> LimitChart:
    """Return a limit on another scale.

    Parameters
    ----------
    chart : LimitChart
        The limit. [its unit]
    scale : Scale
        Of its channel.

    Returns
    -------
    LimitChart
        The same limit with the same areas. [scale's shown unit]
    """
    return replace(
        chart,
        unit=scale.shown,
        limit=_at(chart.limit, chart.unit, scale),
        areas=tuple(_area_on(area, chart.unit, scale) for area in chart.areas),
        repeats=tuple(
            rule if rule.above is None else replace(rule, above=_at(rule.above, chart.unit, scale))
            for rule in chart.repeats
        ),
    )


def _area_on(area: Area, unit: str, scale: Scale) -> Area:
    return replace(area, allowed=tuple(replace(v, value=_at(v.value, unit, scale)) for v in area.allowed))


def excursion_on(excursion: Excursion, limit: float, scale: Scale) -> Excursion:
    """Return an excursion on another scale.

    Parameters
    ----------
    excursion : Excursion
        The excursion. [its unit]
    limit : float
        The limit that it is beyond, from which a margin is measured where no peak is known. [its unit]
    scale : Scale
        Of its channel.

    Returns
    -------
    Excursion
        The same times, area and margin; a margin of 20 °C is one of 36 °F. [scale's shown unit]
    """
    peak = excursion.peak
    return replace(
        excursion,
        unit=scale.shown,
        peak=None if peak is None else _at(peak, excursion.unit, scale),
        levels=tuple(Level(_at(level.value, excursion.unit, scale), level.seconds) for level in excursion.levels),
        margin=_margin_on(excursion, limit if peak is None else peak, scale),
    )


def _margin_on(excursion: Excursion, at: float, scale: Scale) -> Margin | None:
    margin = excursion.margin
    if margin is None or margin.value is None:
        return margin
    sign = 1.0 if excursion.side == "above" else -1.0
    own = sign * convert_difference(margin.value, excursion.unit, scale.unit)
    return replace(margin, value=sign * scale.difference(own, convert(at, excursion.unit, scale.unit)))


def type_on(data: EngineTypeData, scales: Scales) -> EngineTypeData:
    """Return a type with its channels and limits on other scales.

    Parameters
    ----------
    data : EngineTypeData
        The type.
    scales : mapping of str to Scale
        By channel; channels that are not named stay as they are.

    Returns
    -------
    EngineTypeData
        For showing alone: what it says of units is no longer what its traces are kept in.
    """
    return replace(
        data,
        channels=tuple(_channel_on(channel, scales.get(channel.name)) for channel in data.channels),
        charts=tuple(chart_on(c, scales[c.channel]) if c.channel in scales else c for c in data.charts),
    )


def _channel_on(channel: Channel, scale: Scale | None) -> Channel:
    if scale is None:
        return channel
    return replace(channel, unit=scale.shown, tolerance=scale.difference(channel.tolerance, 0.0))


def trace_on(trace: Trace, scales: Scales) -> Trace:
    """Return a trace with its channels on other scales.

    Parameters
    ----------
    trace : Trace
        The trace.
    scales : mapping of str to Scale
        By channel.

    Returns
    -------
    Trace
        The same times.
    """
    shown = {name: scales[name].value(values) for name, values in trace.channels.items() if name in scales}
    return replace(trace, channels={**trace.channels, **shown})

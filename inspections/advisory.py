"""Excursions beyond the operator's own limits: found as any other, listed with their margin, calling for nothing."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, timedelta
from typing import Any, Final

from engines.charts import AdvisoryLimit, EngineTypeData, LimitChart, Side
from engines.scales import Scale
from engines.traces import Trace
from engines.units import convert, symbol_of
from inspections.drawing.words import quantity, seconds_text, short_of
from inspections.exceedance import judge
from inspections.readings import TypedReading, is_beyond, judge_reading
from inspections.verdict import Excursion

RECENT_D: Final = 90


@dataclass(frozen=True)
class Advised:
    """One excursion beyond an operator's own limit. [chart's unit, s from the first row]

    ``margin`` is how far its peak stayed short of the maker's limit, None where it did not or is not known;
    ``is_beyond_maker`` says that it went beyond that too, so that the maker's chart has it as well.
    """

    name: str
    chart: str
    channel: str
    unit: str
    side: Side
    limit: float
    maker: float
    start_s: float | None
    end_s: float | None
    peak: float
    seconds: float | None
    margin: float | None
    is_beyond_maker: bool
    open_ended: bool
    is_read: bool = False

    def document(self) -> dict[str, Any]:
        """Return the excursion as plain data."""
        return asdict(self)


def advised_read(document: dict[str, Any]) -> Advised:
    """Return the excursion that :meth:`Advised.document` wrote.

    Parameters
    ----------
    document : dict
        Plain data.

    Returns
    -------
    Advised
        The same facts.
    """
    return Advised(**document)


def advisory_of(data: EngineTypeData, serial: str) -> list[tuple[AdvisoryLimit, LimitChart]]:
    """Return the operator's own limits of an engine, each with the maker's chart that it is tighter than.

    Parameters
    ----------
    data : EngineTypeData
        The type.
    serial : str
        The engine's serial.

    Returns
    -------
    list of (AdvisoryLimit, LimitChart)
        In the document's order.
    """
    charts = {chart.name: chart for chart in data.charts}
    return [(own, charts[own.chart]) for own in data.advisory if own.is_of(serial)]


def tightened(own: AdvisoryLimit, chart: LimitChart) -> LimitChart:
    """Return an operator's own limit as a chart without areas, so that nothing is called for beyond it.

    Parameters
    ----------
    own : AdvisoryLimit
        The operator's own.
    chart : LimitChart
        The maker's, whose channel, regimes and boundary rule it has.

    Returns
    -------
    LimitChart
        Named as the operator's own.
    """
    return replace(chart, name=own.name, limit=own.limit, areas=(), repeats=(), source=own.reason)


def advised_in(
    data: EngineTypeData, serial: str, trace: Trace | None, readings: Sequence[TypedReading] = ()
) -> tuple[Advised, ...]:
    """Return what went beyond the operator's own limits in a run.

    Parameters
    ----------
    data : EngineTypeData
        The type.
    serial : str
        The engine's serial.
    trace : Trace or None
        The recorded run, channels in the type's units; None where there is none.
    readings : sequence of TypedReading
        What a person wrote down of the makers' charts.

    Returns
    -------
    tuple of Advised
        In the order of the limits, then of the trace, then of the readings. A reading of which the peak is not known
        is listed by the maker's chart alone, since it is of that chart that it was written down.

    Notes
    -----
    Found by the same computation as every excursion; the samples prove them, gaps and tolerance add none.
    """
    limits = advisory_of(data, serial)
    charts = {own.name: tightened(own, chart) for own, chart in limits}
    found: list[Excursion] = []
    if trace is not None:
        found += judge(trace, replace(data, charts=tuple(charts.values()))).excursions
    own_charts = [
        (charts[own.name], reading) for own, _ in limits for reading in readings if reading.chart == own.chart
    ]
    judged = (judge_reading(chart, reading, 1) for chart, reading in own_charts if reading.peak is not None)
    found += [excursion for excursion in judged if excursion is not None]
    makers = {own.name: (own, chart) for own, chart in limits}
    order = {name: place for place, name in enumerate(makers)}
    listed = (_advised(*makers[e.chart], e, e.peak) for e in found if e.peak is not None)
    return tuple(sorted(listed, key=lambda advised: order[advised.name]))


def _advised(own: AdvisoryLimit, maker: LimitChart, excursion: Excursion, peak: float) -> Advised:
    beyond = is_beyond(maker, peak)
    return Advised(
        name=own.name,
        chart=maker.name,
        channel=maker.channel,
        unit=maker.unit,
        side=maker.side,
        limit=own.limit,
        maker=maker.limit,
        start_s=excursion.start_s,
        end_s=excursion.end_s,
        peak=peak,
        seconds=excursion.seconds_above,
        margin=None if beyond else maker.sign * (maker.limit - peak),
        is_beyond_maker=beyond,
        open_ended=excursion.open_ended,
        is_read=excursion.evidence is not None,
    )


def advised_words(advised: Advised) -> str:
    """Return an excursion beyond the operator's own limit as sentences.

    Parameters
    ----------
    advised : Advised
        The excursion.

    Returns
    -------
    str
        It says whose limit it is, for how long, how far, and how far from the maker's.
    """
    limit, maker = (quantity(value, advised.unit) for value in (advised.limit, advised.maker))
    peak = quantity(advised.peak, advised.unit, (advised.limit, advised.maker))
    took = "for a time that is not known" if advised.seconds is None else f"for {seconds_text(advised.seconds)}"
    said = f"{advised.side.capitalize()} the operator's own limit of {limit} {took}, to {peak}."
    if advised.is_beyond_maker:
        return f"{said} It went beyond the maker's limit of {maker} too, which is judged by the maker's chart."
    return f"{said} {short_of(advised.margin or 0.0)} {symbol_of(advised.unit)} short of the maker's limit of {maker}."


def advised_on(advised: Advised, scale: Scale) -> Advised:
    """Return an excursion beyond an operator's own limit on another scale; its margin converts as a difference.

    Parameters
    ----------
    advised : Advised
        The excursion. [its unit]
    scale : Scale
        Of its channel.

    Returns
    -------
    Advised
        The same times. [scale's shown unit]
    """
    kept = (advised.limit, advised.maker, advised.peak)
    limit, maker, peak = (scale.value(convert(value, advised.unit, scale.unit)) for value in kept)
    margin = None if advised.margin is None else abs(maker - peak)
    return replace(advised, unit=scale.shown, limit=limit, maker=maker, peak=peak, margin=margin)


@dataclass(frozen=True)
class AdvisoryCount:
    """How often one of the operator's own limits was passed: in all, since the overhaul, and in the last 90 days.

    ``since_overhaul`` is None where no overhaul is recorded; ``least_margin`` is the closest that the maker's limit
    was come to without passing it, None where never. [chart's unit]
    """

    own: AdvisoryLimit
    maker: LimitChart
    in_all: int
    since_overhaul: int | None
    recent: int
    least_margin: float | None


def advisory_counts(
    limits: Sequence[tuple[AdvisoryLimit, LimitChart]],
    found: Sequence[tuple[date, Advised]],
    today: date,
    overhauled_on: date | None,
) -> list[AdvisoryCount]:
    """Return how often each of the operator's own limits was passed.

    Parameters
    ----------
    limits : sequence of (AdvisoryLimit, LimitChart)
        As :func:`advisory_of` gives them.
    found : sequence of (date, Advised)
        Every excursion with the day of its run.
    today : date
        The last of the 90 days.
    overhauled_on : date or None
        The engine's last overhaul.

    Returns
    -------
    list of AdvisoryCount
        One for each limit, in order; what was found by a limit of another name is not counted.
    """
    return [_counted(own, maker, found, today, overhauled_on) for own, maker in limits]


def _counted(
    own: AdvisoryLimit,
    maker: LimitChart,
    found: Sequence[tuple[date, Advised]],
    today: date,
    overhauled_on: date | None,
) -> AdvisoryCount:
    of = [(day, advised) for day, advised in found if advised.name == own.name]
    margins = [advised.margin for _, advised in of if advised.margin is not None]
    return AdvisoryCount(
        own=own,
        maker=maker,
        in_all=len(of),
        since_overhaul=None if overhauled_on is None else sum(day >= overhauled_on for day, _ in of),
        recent=sum(today - day < timedelta(days=RECENT_D) for day, _ in of),
        least_margin=min(margins, default=None),
    )

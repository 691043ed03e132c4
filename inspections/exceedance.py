"""The exceedance engine: evidence and limits in, the verdict out."""

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import cast

import numpy as np

from engines.charts import EngineTypeData, LimitChart
from engines.regimes import Segments, segments_of
from engines.traces import Recording, Trace
from engines.units import convert, convert_difference
from inspections.chart_judging import ChartView, excursions_of
from inspections.excursions import Bound
from inspections.paths import Path, clip, path_of
from inspections.verdict import Excursion, NotJudged, Unobserved, Verdict

ALL_REGIMES = 3


@dataclass(frozen=True)
class Judged:
    """A verdict, and for each total-time rule ("chart|index") the seconds that this run adds to it."""

    verdict: Verdict
    repeat_seconds: dict[str, float]


@dataclass(frozen=True)
class _Case:
    """One trace before one type: its segments, and each channel's lowest and highest sample."""

    trace: Trace
    engine_type: EngineTypeData
    segments: Segments | None
    extremes: dict[str, tuple[float, float]]

    def is_whole(self, channel: str) -> bool:
        """Return whether a channel has a valid sample in every row and no step longer than its bound."""
        within = self.trace.step_s <= self.engine_type.gap_of(channel)
        return within and math.isfinite(sum(self.extremes[channel]))

    def has_valid(self, channel: str) -> bool:
        """Return whether a channel has any valid sample."""
        return math.isfinite(sum(self.extremes[channel])) or bool(np.isfinite(self.trace.channels[channel]).any())


def _case(trace: Trace, engine_type: EngineTypeData) -> _Case:
    names = [c.name for c in engine_type.channels if c.name in trace.channels]
    # NaN and infinities come through min and max, so that one pass each tells whether all samples are valid.
    extremes = {n: (float(trace.channels[n].min()), float(trace.channels[n].max())) for n in names}
    return _Case(trace, engine_type, segments_of(trace, engine_type.segmentation), extremes)


def judge(evidence: Recording | Trace, engine_type: EngineTypeData) -> Verdict:
    """Return the verdict on a recorded run.

    Parameters
    ----------
    evidence : Recording or Trace
        Samples of the run; channels in the units of the type's channels, times in seconds.
    engine_type : EngineTypeData
        Channels, segmentation and limit charts in force.

    Returns
    -------
    Verdict
        Regimes, starts, usage, what was not observed or not judged, and every excursion with the
        area it enters, the area it may have entered, and its margin to the next one.

    Notes
    -----
    A limit itself is allowed unless the chart says ``on_boundary`` beyond; times are compared to the
    microsecond. Repeat counts need the engine's history and are not part of this.
    """
    return judge_in_full(evidence, engine_type).verdict


def judge_in_full(evidence: Recording | Trace, engine_type: EngineTypeData) -> Judged:
    """Return the verdict on a recorded run, with what it adds to each total-time rule.

    Parameters
    ----------
    evidence : Recording or Trace
        As for :func:`judge`.
    engine_type : EngineTypeData
        As for :func:`judge`.

    Returns
    -------
    Judged
        The verdict, and seconds by "chart|index". [s]
    """
    trace = evidence if isinstance(evidence, Trace) else evidence.trace
    case = _case(trace, engine_type)
    segments = case.segments
    verdict = Verdict(
        samples=int(trace.times.size),
        regimes=segments.spans if segments else (),
        starts=segments.starts if segments else (),
        usage=segments.usage if segments else None,
        unobserved=tuple(_unobserved(case)),
        ignored=() if isinstance(evidence, Trace) else evidence.ignored,
    )
    notes, refused, excursions, totals = [], [], [], {}
    for chart in engine_type.charts:
        reason = _reason_not_judged(case, chart)
        if reason:
            refused.append(NotJudged(chart.name, reason))
            continue
        if case.segments is None and chart.regimes is not None:
            notes.append(f"{chart.name}: judged over the whole trace, since its regimes are not known.")
        found, seconds = _judge_chart(case, chart)
        excursions.extend(found)
        totals.update(seconds)
    verdict = replace(verdict, notes=tuple(notes), not_judged=tuple(refused), excursions=tuple(excursions))
    return Judged(verdict, totals)


def _windowed(chart: LimitChart) -> bool:
    """Return whether a chart judges a part of the trace only."""
    return chart.regimes is not None and len(chart.regimes) < ALL_REGIMES


def _reason_not_judged(case: _Case, chart: LimitChart) -> str:
    if chart.channel not in case.trace.channels:
        return f"the trace has no column for {chart.channel}"
    if not case.has_valid(chart.channel):
        return f"the trace has no valid sample of {chart.channel}"
    if case.segments is None and chart.regimes is not None and "running" not in chart.regimes:
        return f"the {' and '.join(chart.regimes)} part of the run is not known without the speed channel"
    return ""


def _unobserved(case: _Case) -> list[Unobserved]:
    """Return every gap of every channel that the trace has, in order of the document, then of time."""
    found: list[Unobserved] = []
    times = case.trace.times
    for name in case.extremes:
        if case.is_whole(name):
            continue
        path = path_of(times, case.trace.channels[name], case.engine_type.gap_of(name))
        ends = [(gap.start_s, gap.end_s) for gap in path.gaps] if path else [(times[0], times[-1])]
        found.extend(Unobserved(name, float(start), float(end)) for start, end in ends)
    return found


def _is_clear(case: _Case, chart: LimitChart, bound: Bound, tolerance: float) -> bool:
    """Return whether no sample can be beyond the limit, from the extremes alone."""
    lowest, highest = case.extremes[chart.channel]
    unit = case.engine_type.channel(chart.channel).unit
    worst = chart.sign * convert(highest if chart.sign > 0 else lowest, unit, chart.unit) + tolerance
    return math.isfinite(lowest + highest) and not bound.passed_by(np.array([worst])).any()


def _judge_chart(case: _Case, chart: LimitChart) -> tuple[list[Excursion], dict[str, float]]:
    channel = case.engine_type.channel(chart.channel)
    tolerance = convert_difference(channel.tolerance, channel.unit, chart.unit)
    bound = Bound(chart.sign * chart.limit, chart.on_boundary == "beyond")
    if _is_clear(case, chart, bound, tolerance):
        return [], {}
    return excursions_of(_view(case, chart, bound, tolerance))


def view_of(trace: Trace, engine_type: EngineTypeData, chart: LimitChart) -> ChartView:
    """Return one chart over one trace as it is judged, to show how a verdict was reached.

    Parameters
    ----------
    trace : Trace
        As for :func:`judge`; it has a valid sample of the chart's channel.
    engine_type : EngineTypeData
        As for :func:`judge`.
    chart : LimitChart
        One of the type's charts.

    Returns
    -------
    ChartView
        What the chart's excursions are found in.
    """
    channel = engine_type.channel(chart.channel)
    tolerance = convert_difference(channel.tolerance, channel.unit, chart.unit)
    bound = Bound(chart.sign * chart.limit, chart.on_boundary == "beyond")
    return _view(_case(trace, engine_type), chart, bound, tolerance)


def _view(case: _Case, chart: LimitChart, bound: Bound, tolerance: float) -> ChartView:
    channel = case.engine_type.channel(chart.channel)
    values = chart.sign * convert(case.trace.channels[chart.channel], channel.unit, chart.unit)
    whole = cast("Path", path_of(case.trace.times, values, case.engine_type.gap_of(channel.name)))
    return ChartView(
        chart=chart,
        bound=bound,
        tolerance=tolerance,
        whole=whole,
        paths=tuple(_windows(case, chart, whole)),
        starting=_starting(case, chart),
        values=values,
    )


def _starting(case: _Case, chart: LimitChart) -> tuple[tuple[float, float], ...] | None:
    if chart.regimes != ("starting",) or case.segments is None:
        return None
    stretches = (s for s in case.segments.stretches if s.regime == "starting")
    return tuple((float(case.trace.times[s.first]), float(case.trace.times[s.last])) for s in stretches)


def _windows(case: _Case, chart: LimitChart, whole: Path) -> list[Path]:
    """Return the parts of the path that a chart judges; stretches that meet are one part."""
    segments, times = case.segments, case.trace.times
    if segments is None or not _windowed(chart) or chart.regimes == ("starting",):
        return [whole]
    stretches = [s for s in segments.stretches if s.regime in (chart.regimes or ())]
    cuts = [0, *(k + 1 for k, (a, b) in enumerate(pairwise(stretches)) if a.last != b.first), len(stretches)]
    ends = [(stretches[a].first, stretches[b - 1].last) for a, b in pairwise(cuts) if b > a]
    edges = [((first, float(times[first])), (last, float(times[last]))) for first, last in ends]
    return [clip(whole, first, last) for first, last in edges]

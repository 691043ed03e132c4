"""The pictures of a judged run, assembled from what is stored, for screen and print alike."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from engines.charts import Channel, EngineTypeData, LimitChart
from engines.errors import TraceError
from engines.queries import recording_of
from engines.regimes import RegimeSpan
from engines.traces import Floats, Trace
from engines.units import convert
from inspections.curve import Curve
from inspections.drawing.curve_picture import curve_picture
from inspections.drawing.facts import caption_of
from inspections.drawing.run_picture import run_picture
from inspections.drawing.shapes import Picture
from inspections.excursions import Bound, stays_of
from inspections.models import Judgement
from inspections.paths import path_of
from inspections.verdict import Excursion, Unobserved, excursion_read
from logbook.models import Entry
from logbook.printing.picture import ChartPictures

PRINTED, PRINTED_CURVE = (480.0, 270.0), (480.0, 300.0)
MOST_CURVES = 4  # of one chart on one screen, from the first excursion on
MOST_LEVELS = 300  # of a duration curve as drawn; its figures are the verdict's


@dataclass(frozen=True)
class JudgedRun:
    """A judgement with the trace it was made on, if there is one."""

    data: EngineTypeData
    excursions: tuple[Excursion, ...]
    regimes: tuple[RegimeSpan, ...]
    unobserved: tuple[Unobserved, ...]
    trace: Trace | None

    @cached_property
    def charts(self) -> tuple[LimitChart, ...]:
        """Return the charts beyond whose limit something was read, in the order of the document."""
        passed = {excursion.chart for excursion in self.excursions}
        return tuple(chart for chart in self.data.charts if chart.name in passed)

    def of(self, chart: LimitChart) -> list[Excursion]:
        """Return the excursions of one chart."""
        return [excursion for excursion in self.excursions if excursion.chart == chart.name]

    def channel(self, chart: LimitChart) -> Channel:
        """Return the channel of one chart."""
        return self.data.channel(chart.channel)

    def traced(self, chart: LimitChart) -> Trace | None:
        """Return the trace with the chart's channel in the chart's unit, or None where it has no such column."""
        if self.trace is None or chart.channel not in self.trace.channels:
            return None
        values = convert(self.trace.channels[chart.channel], self.channel(chart).unit, chart.unit)
        return replace(self.trace, channels={**self.trace.channels, chart.channel: values})

    @cached_property
    def records(self) -> dict[str, tuple[float, float]]:
        """Return the times of the first and the last valid sample of each channel that has one. [s]"""
        found = {}
        for name, values in self.trace.channels.items() if self.trace is not None else ():
            valid = np.flatnonzero(np.isfinite(values))
            if valid.size and self.trace is not None:
                found[name] = float(self.trace.times[valid[0]]), float(self.trace.times[valid[-1]])
        return found

    def caption(self, chart: LimitChart) -> str:
        """Return what a chart's picture was drawn from."""
        trace = self.traced(chart)
        gaps = sum(gap.channel == chart.channel for gap in self.unobserved)
        return "" if trace is None else caption_of(trace, chart.channel, gaps)

    def picture(self, chart: LimitChart, width: float, height: float) -> Picture | None:
        """Return the picture of a run against one chart, or None where no trace shows it."""
        trace = self.traced(chart)
        if trace is None:
            return None
        return run_picture(
            trace,
            chart,
            self.excursions,
            self.regimes,
            self.unobserved,
            channel=self.channel(chart),
            width=width,
            height=height,
        )

    def curves(self, chart: LimitChart, size: tuple[float, float]) -> Iterator[Picture]:
        """Yield the duration curves of a chart's first excursions that samples prove."""
        trace = self.traced(chart)
        if trace is None:
            return
        for excursion in self.of(chart)[:MOST_CURVES]:
            points = curve_points(trace, chart, excursion, self)
            if points:
                yield curve_picture(points, chart, excursion, self.channel(chart), size=size)


def judged_run(judgement: Judgement) -> JudgedRun:
    """Return a judgement as the pictures need it; the trace is read from where it is stored."""
    document = judgement.verdict
    return JudgedRun(
        data=judgement.revision.data,
        excursions=tuple(map(excursion_read, document["excursions"])),
        regimes=tuple(RegimeSpan(**span) for span in document["regimes"]),
        unobserved=tuple(Unobserved(**gap) for gap in document["unobserved"]),
        trace=recording_of(judgement.trace).trace if judgement.trace else None,
    )


def curve_points(trace: Trace, chart: LimitChart, excursion: Excursion, run: JudgedRun) -> list[tuple[float, float]]:
    """Return the corners of an excursion's duration curve from the limit outward; none where no sample proves it."""
    if excursion.start_s is None or excursion.end_s is None or not excursion.seconds_above:
        return []
    bound = Bound(chart.sign * chart.limit, chart.on_boundary == "beyond")
    path = path_of(trace.times, chart.sign * trace.channels[chart.channel], run.data.gap_of(chart.channel))
    pieces = [
        piece
        for stay in ([] if path is None else stays_of(path, bound))
        for span in judged_spans(chart, excursion, run.regimes)
        for piece in pieces_within(*stay.corners(bound.limit), span)
    ]
    if not pieces:
        return []
    low, high, seconds = (np.array(column) for column in zip(*pieces, strict=True))
    return turned_corners(Curve(low, high, seconds, bound.limit, is_closed=False), chart.sign)


def judged_spans(chart: LimitChart, excursion: Excursion, regimes: Sequence[RegimeSpan]) -> list[tuple[float, float]]:
    """Return the stretches of an excursion that its chart judges; a chart of starts judges past them to the end."""
    start, end = excursion.start_s or 0.0, excursion.end_s or 0.0
    if chart.regimes is None or "starting" in chart.regimes or not regimes:
        return [(start, end)]
    inside = [(max(start, r.start_s), min(end, r.end_s)) for r in regimes if r.regime in chart.regimes]
    return [(first, last) for first, last in inside if last > first]


def pieces_within(times: Floats, values: Floats, span: tuple[float, float]) -> Iterator[tuple[float, float, float]]:
    """Yield low, high and seconds of each straight piece of a stay between two times."""
    inner = (times > span[0]) & (times < span[1])
    ends = [t for t in span if times[0] <= t <= times[-1]]
    joined = np.concatenate((times[inner], ends))
    order = np.argsort(joined, kind="stable")
    t = joined[order]
    v = np.concatenate((values[inner], np.interp(ends, times, values)))[order]
    for k in np.flatnonzero(np.diff(t) > 0):
        yield float(min(v[k], v[k + 1])), float(max(v[k], v[k + 1])), float(t[k + 1] - t[k])


def turned_corners(curve: Curve, sign: float) -> list[tuple[float, float]]:
    """Return values as read with the time beyond each, both sides of a plateau, in at most so many levels."""
    levels = np.unique(np.concatenate(([curve.limit], curve.low, curve.high)))
    if levels.size > MOST_LEVELS:
        levels = levels[np.unique(np.linspace(0, levels.size - 1, MOST_LEVELS).astype(int))]
    at_or_beyond = replace(curve, is_closed=True)
    points = [(sign * v, c.beyond(v)) for v in levels.tolist() for c in (at_or_beyond, curve)]
    return [point for k, point in enumerate(points) if k == 0 or point != points[k - 1]]


def entry_run(entry: Entry) -> JudgedRun | None:
    """Return the run of an entry as it was judged, with the trace that it rests on; None where that is not at hand."""
    verdict = entry.body.get("verdict")
    if entry.engine is None or entry.run is None or not verdict:
        return None
    revision = entry.engine.engine_type.revisions.filter(number=entry.body["revision"]["number"]).first()
    digests = [item["sha256"] for item in entry.body["evidence"] if item["kind"] == "trace"]
    trace = entry.run.traces.filter(original_sha256=digests[-1]).first() if digests else None
    if revision is None or trace is None:
        return None
    try:
        return judged_run(Judgement(revision=revision, trace=trace, verdict=verdict))
    except (OSError, TraceError):
        # A file that is gone or damaged must not keep the rest of the entry from being read.
        return None


def entry_pictures(entry: Entry) -> dict[str, ChartPictures]:
    """Return the pictures of an entry by name of chart, drawn by the verdict and the trace that it rests on."""
    run = entry_run(entry)
    drawn = {chart.name: printed_pictures(run, chart) for chart in run.charts} if run else {}
    return {name: pictures for name, pictures in drawn.items() if pictures is not None}


def printed_pictures(run: JudgedRun, chart: LimitChart) -> ChartPictures | None:
    """Return the pictures of a run against one chart as they are printed, or None where no trace shows it."""
    picture = run.picture(chart, *PRINTED)
    if picture is None:
        return None
    return ChartPictures(picture, tuple(run.curves(chart, PRINTED_CURVE)), run.caption(chart))

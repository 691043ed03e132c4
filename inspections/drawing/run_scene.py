"""What one chart's picture of a run shows, found before anything is drawn."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from engines.charts import Channel, LimitChart
from engines.regimes import RegimeSpan
from engines.traces import Trace
from inspections.drawing.bands import levels_of
from inspections.drawing.series import Series
from inspections.verdict import Excursion, Unobserved

Span = tuple[float, float]

MOST_POINTS = 2000
COLUMNS = 450  # of time, at most four samples each; halved while a picture would have too many points


@dataclass(frozen=True)
class Scene:
    """One channel's samples with the chart they are judged by, in a window of time. [s, chart's unit]"""

    chart: LimitChart
    channel: Channel
    window: Span
    series: Series
    excursions: tuple[Excursion, ...]
    regimes: tuple[RegimeSpan, ...]
    gaps: tuple[Span, ...]

    @property
    def column(self) -> float:
        """Return the time that one column of the picture stands for."""
        return (self.window[1] - self.window[0]) / COLUMNS

    def span_of(self, excursion: Excursion) -> Span:
        """Return from when to when an excursion of the scene lasts."""
        return excursion.start_s or 0.0, excursion.end_s or 0.0

    @cached_property
    def judged(self) -> tuple[Span, ...]:
        """Return the stretches of the window to which the chart applies, in order and apart."""
        names = self.chart.regimes
        if names is None or not self.regimes:
            return (self.window,)
        spans = [(r.start_s, r.end_s) for r in self.regimes if r.regime in names]
        spans += [self.span_of(excursion) for excursion in self.excursions]
        inside = [_within(span, self.window) for span in spans]
        return merged([span for span in inside if span[1] > span[0]], 0.0)

    @cached_property
    def shaded(self) -> tuple[Span, ...]:
        """Return the stretches of the window in which the time beyond the limit is counted."""
        return merged([self.span_of(excursion) for excursion in self.excursions], self.column)

    def peak_of(self, span: Span) -> tuple[float, float] | None:
        """Return time and value of the worst sample between two times, the first of equals; None where none is."""
        inside = self.series.between(*span)
        if not inside.times.size:
            return None
        worst = int(np.argmax(self.chart.sign * inside.values))
        return float(inside.times[worst]), float(inside.values[worst])

    def edge_near(self, span: Span, value: float) -> float:
        """Return the end of a span at which the record comes nearer to a value."""
        if not self.series.times.size:
            return span[0]
        return min(span, key=lambda at: abs(float(np.interp(at, self.series.times, self.series.values)) - value))

    @cached_property
    def worst(self) -> tuple[float, float] | None:
        """Return time and value of the worst sample to which the chart applies, or None."""
        peaks = [peak for span in self.judged if (peak := self.peak_of(span)) is not None]
        return max(peaks, key=lambda peak: self.chart.sign * peak[1], default=None)

    @cached_property
    def reach(self) -> Span:
        """Return the least and the most value to be shown, turned so that the most is the worst."""
        turned = self.chart.sign * self.series.values
        shown = [self.chart.sign * level for level in levels_of(self.chart)]
        shown += [float(turned.min()), float(turned.max())] if turned.size else []
        return min(shown), max(shown)


def _within(span: Span, window: Span) -> Span:
    return max(span[0], window[0]), min(span[1], window[1])


def merged(spans: Sequence[Span], apart: float) -> tuple[Span, ...]:
    """Return spans of time in order, those joined that lie no further apart than a given time.

    Parameters
    ----------
    spans : sequence of (float, float)
        Starts and ends. [s]
    apart : float
        The longest time between two that are joined. [s]

    Returns
    -------
    tuple of (float, float)
        The joined spans. [s]
    """
    joined: list[Span] = []
    for start, end in sorted(spans):
        if joined and start - joined[-1][1] <= apart:
            joined[-1] = joined[-1][0], max(joined[-1][1], end)
        else:
            joined.append((start, end))
    return tuple(joined)


def window_of(trace: Trace, chart: LimitChart, excursions: Sequence[Excursion], regimes: Sequence[RegimeSpan]) -> Span:
    """Return the time to be shown: the whole record, or the starts alone under a chart that judges only those.

    Parameters
    ----------
    trace : Trace
        The run.
    chart : LimitChart
        The chart.
    excursions : sequence of Excursion
        Excursions of that chart.
    regimes : sequence of RegimeSpan
        The run's regimes.

    Returns
    -------
    pair of float
        First and last time to be shown, the second above the first. [s]
    """
    first, last = (float(trace.times[0]), float(trace.times[-1])) if trace.times.size else (0.0, 0.0)
    starts = [(r.start_s, r.end_s) for r in regimes if r.regime == "starting"]
    if chart.regimes == ("starting",) and starts:
        spans = starts + [(e.start_s or 0.0, e.end_s or 0.0) for e in excursions if e.start_s is not None]
        begin, end = min(span[0] for span in spans), max(span[1] for span in spans)
        margin = 0.2 * (end - begin)
        first, last = max(first, begin - margin), min(last, end + margin)
    return first, max(last, first + 1.0)


def scene_of(trace: Trace, chart: LimitChart, channel: Channel, *, found: "Found", window: Span | None) -> Scene:
    """Return what a picture of one channel and chart shows.

    Parameters
    ----------
    trace : Trace
        The run, with the channel's values already in the chart's unit.
    chart : LimitChart
        The chart.
    channel : Channel
        The channel.
    found : Found
        What the verdict says of the run; other charts' and channels' parts are left out.
    window : pair of float or None
        First and last time to be shown, or None for :func:`window_of`. [s]

    Returns
    -------
    Scene
        Samples, excursions, regimes and gaps of the window.
    """
    own = tuple(e for e in found.excursions if e.chart == chart.name)
    window = window or window_of(trace, chart, own, found.regimes)
    gaps = [(u.start_s, u.end_s) for u in found.unobserved if u.channel == channel.name]
    return Scene(
        chart=chart,
        channel=channel,
        window=window,
        series=Series.of(trace.times, trace.channels[channel.name], gaps, window),
        excursions=tuple(e for e in own if _overlaps((e.start_s, e.end_s), window)),
        regimes=tuple(r for r in found.regimes if _overlaps((r.start_s, r.end_s), window)),
        gaps=tuple(gap for gap in gaps if _overlaps(gap, window)),
    )


def _overlaps(span: tuple[float | None, float | None], window: Span) -> bool:
    return span[0] is not None and span[1] is not None and span[0] <= window[1] and span[1] >= window[0]


@dataclass(frozen=True)
class Found:
    """What a verdict says of a run, as far as a picture shows it."""

    excursions: Sequence[Excursion]
    regimes: Sequence[RegimeSpan]
    unobserved: Sequence[Unobserved]

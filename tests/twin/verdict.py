"""The twin's verdict on one trace, as the contract writes it, in exact rationals."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tests.twin import regimes
from tests.twin.areas import area_index, margin
from tests.twin.curve import Durations, judged_curve
from tests.twin.excursions import Excursion, concerns_start, excursions_of, gaps_of, merged, sample_peak
from tests.twin.path import Point, Stretch, clip, filled, raised, samples_of, stretch_of
from tests.twin.reading import ALL_REGIMES, Chart, channel_of, chart_read, exact, max_gap

Columns = dict[str, list[Fraction | None]]


@dataclass(frozen=True)
class Case:
    """One trace and the engine type it is judged by; ``spans`` is None where regimes are not known."""

    document: dict[str, Any]
    times: list[Fraction]
    columns: Columns
    spans: list[regimes.Span] | None = None

    def samples(self, channel: str, sign: int = 1) -> list[Point]:
        """Return the valid samples of a channel, none if it has no column."""
        column = self.columns.get(channel)
        return [] if column is None else samples_of(self.times, column, sign)

    def stretch(self, channel: str, sign: int = 1) -> Stretch:
        """Return the whole trace of a channel."""
        return stretch_of(self.times, self.samples(channel, sign), max_gap(self.document, channel))

    def starting(self) -> list[tuple[Fraction, Fraction]]:
        """Return begin and end of each starting regime."""
        spans = [span for span in self.spans or [] if span.regime == "starting"]
        return [(self.times[span.first], self.times[span.last]) for span in spans]


@dataclass(frozen=True)
class Pair:
    """What the samples of one chart prove, and what may have been."""

    proven: list[Excursion]
    possible: list[Excursion]


def stretches_for(chart: Chart, case: Case) -> list[Stretch]:
    """Return the parts of the trace that a chart looks at."""
    whole = case.stretch(chart.channel, chart.sign)
    if case.spans is None or chart.regimes in (None, ALL_REGIMES, frozenset({"starting"})):
        return [whole]
    assert chart.regimes is not None
    return [clip(whole, case.times, rows) for rows in regimes.windows(case.spans, chart.regimes)]


def kept(pair: Pair, chart: Chart, case: Case) -> Pair:
    """Return the excursions that belong to a starting regime."""
    starting = case.starting()
    proven = [e for e in pair.proven if any(concerns_start(e, span, chart) for span in starting)]
    possible = [
        e
        for e in pair.possible
        if any(concerns_start(e, span, chart) for span in starting) or any(e.holds(p) for p in proven)
    ]
    return Pair(proven, possible)


def pair_of(chart: Chart, case: Case) -> Pair:
    """Return the proven and the possible excursions of a chart."""
    stretches = stretches_for(chart, case)
    fuller = [filled(raised(stretch, chart.tolerance), chart) for stretch in stretches]
    pair = Pair(excursions_of(stretches, chart), excursions_of(fuller, chart))
    if chart.regimes == frozenset({"starting"}):
        pair = kept(pair, chart, case)
    if chart.pooled:
        return Pair(*([merged(found)] if found else [] for found in (pair.proven, pair.possible)))
    return pair


def area_name(index: int, chart: Chart) -> str | None:
    """Return the name of an area by its number, None for none."""
    return None if index < 0 else chart.areas[index].name


@dataclass(frozen=True)
class Bench:
    """A chart at work on a channel's samples."""

    chart: Chart
    samples: dict[int, Fraction]

    def common(self, extent: Excursion, proven: Excursion | None) -> dict[str, Any]:
        """Return the facts that proven and merely possible excursions share."""
        chart = self.chart
        durations = Durations(proven or Excursion((), False), chart)
        ends = {min(self.samples), max(self.samples)}
        return {
            "chart": chart.name,
            "channel": chart.channel,
            "unit": chart.unit,
            "start_s": extent.start,
            "end_s": extent.end,
            "open_ended": bool(ends & extent.rows),
            "seconds_above": durations.at(chart.limit),
            "levels": [{chart.side: chart.sign * v, "seconds": durations.at(v)} for v in chart.levels()],
        }

    def proven(self, excursion: Excursion, number: int, possible: Excursion) -> dict[str, Any]:
        """Return an excursion that the samples prove."""
        curve = judged_curve(excursion, self.chart)
        index = area_index(curve, self.chart)
        return self.common(excursion, excursion) | {
            "peak": self.chart.sign * excursion.peak,
            "area": area_name(index, self.chart),
            "area_possible": area_name(area_index(judged_curve(possible, self.chart), self.chart), self.chart),
            "possible": number,
            "margin": margin(curve, index, self.chart),
        }

    def only_possible(self, excursion: Excursion, number: int) -> dict[str, Any] | None:
        """Return an excursion that may have been, if it enters an area."""
        index = area_index(judged_curve(excursion, self.chart), self.chart)
        if index < 0:
            return None
        peak = sample_peak(excursion, self.samples)
        return self.common(excursion, None) | {
            "peak": None if peak is None else self.chart.sign * peak,
            "area": None,
            "area_possible": area_name(index, self.chart),
            "possible": number,
            "margin": None,
        }


def excursion_documents(chart: Chart, case: Case) -> list[dict[str, Any]]:
    """Return what one chart says of the trace, in order of start."""
    pair = pair_of(chart, case)
    samples = {point.row: point.x for point in case.samples(chart.channel, chart.sign) if point.row is not None}
    bench = Bench(chart, samples)
    found: list[dict[str, Any]] = []
    for number, possible in enumerate(pair.possible, start=1):
        held = [proven for proven in pair.proven if possible.holds(proven)]
        found += [bench.proven(proven, number, possible) for proven in held]
        only = None if held else bench.only_possible(possible, number)
        found += [] if only is None else [only]
    # Filling and raising only add time beyond the limit, so nothing proven may be lost here.
    assert all(any(possible.holds(proven) for possible in pair.possible) for proven in pair.proven)
    return sorted(found, key=lambda excursion: excursion["start_s"])


def reason_not_judged(chart: Chart, case: Case) -> str | None:
    """Return why a chart cannot be applied, None if it can."""
    if chart.channel not in case.columns:
        return f"no column for {chart.channel}"
    if not case.samples(chart.channel):
        return f"no valid value of {chart.channel}"
    if case.spans is None and chart.regimes is not None and "running" not in chart.regimes:
        return "regimes are not known"
    return None


def unobserved(case: Case) -> list[dict[str, Any]]:
    """Return the gaps of every channel that has a column."""
    found = []
    for name in (channel["name"] for channel in case.document["channels"]):
        if name not in case.columns:
            continue
        spans = [(case.times[0], case.times[-1])]
        if case.samples(name):
            spans = [(gap.start, gap.end) for gap in gaps_of(case.stretch(name))]
        found += [{"channel": name, "start_s": start, "end_s": end} for start, end in spans]
    return found


def run_facts(case: Case) -> tuple[list[regimes.Span] | None, dict[str, Any]]:
    """Return every regime, and what the verdict says of regimes, starts and usage."""
    segmentation = case.document.get("segmentation")
    speed = case.samples(segmentation["speed"]) if segmentation else []
    if not segmentation or not speed:
        return None, {"regimes": [], "starts": [], "usage": None}
    speeds = regimes.speeds_read(segmentation)
    spans = regimes.all_spans(speed, len(case.times), speeds)
    temperature = case.samples(segmentation["temperature"])
    signals = regimes.Signals(case.times, speed, temperature)
    starts, usage = regimes.starts_and_usage(spans, signals, speeds)
    listed = regimes.listed_spans(spans, case.times)
    named = [
        {"regime": span.regime, "start_s": case.times[span.first], "end_s": case.times[span.last]} for span in listed
    ]
    return spans, {"regimes": named, "starts": starts, "usage": usage}


def case_of(document: dict[str, Any], times: Sequence[object], columns: dict[str, Any]) -> Case:
    """Return the trace in rationals; time that runs backwards is refused."""
    clock = [exact(t) for t in times]
    if clock != sorted(clock):
        raise ValueError("Time runs backwards.")
    cells = {name: [None if x is None else exact(x) for x in column] for name, column in columns.items()}
    for name in cells:
        channel_of(document, name)
    return Case(document, clock, cells)


def judge(document: dict[str, Any], times: Sequence[object], columns: dict[str, Any]) -> dict[str, Any]:
    """Judge a trace of at least one row by an engine type document.

    Parameters
    ----------
    document : dict
        The engine type; each chart in its channel's unit.
    times : sequence of numbers, shape (n,)
        Time of each row from the first row. [s]
    columns : dict of list
        By channel, a number or None for each row, in the channel's unit.

    Returns
    -------
    dict
        The verdict's document, numbers as Fraction.
    """
    case = case_of(document, times, columns)
    spans, facts = run_facts(case)
    case = Case(case.document, case.times, case.columns, spans)
    excursions: list[dict[str, Any]] = []
    not_judged, notes = [], []
    for chart in (chart_read(document, part) for part in document["charts"]):
        reason = reason_not_judged(chart, case)
        if reason is not None:
            not_judged.append({"chart": chart.name, "reason": reason})
            continue
        if spans is None and chart.regimes is not None:
            notes.append(f"{chart.name} judges the whole trace")
        excursions += excursion_documents(chart, case)
    rest = {"unobserved": unobserved(case), "ignored": [], "notes": notes, "repeats": "not counted"}
    return {"samples": len(case.times)} | facts | rest | {"not_judged": not_judged, "excursions": excursions}

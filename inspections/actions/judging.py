"""Judging a run's evidence, and opening what it calls for, once each."""

from collections import Counter, defaultdict
from dataclasses import asdict, replace

from django.db import transaction

from engines.charts import Action, EngineTypeData, LimitChart
from engines.models import Operator, Reading, Run, TypeRevision
from engines.queries import newest_trace, recording_of, revision_in_force
from engines.traces import Recording
from inspections.actions.starts import starts_keep
from inspections.advisory import Advised, advised_in
from inspections.chart_judging import area_name
from inspections.exceedance import Judged, judge_in_full
from inspections.history import repeat_counts
from inspections.models import Exceedance, Inspection, Judgement, Step
from inspections.readings import TypedReading, judge_reading
from inspections.repeats import RepeatCount
from inspections.states import UNSETTLED
from inspections.verdict import Excursion, Verdict


@transaction.atomic
def run_judge(*, run: Run) -> Judgement:
    """Judge all evidence of a run by the revision in force when it ran, and open what that calls for.

    An earlier judgement stays readable; an inspection that it opened stays open and is not opened again. A void run
    is judged by nothing.
    """
    Operator.objects.select_for_update().get(pk=run.operator_id)
    revision = revision_in_force(run.engine.engine_type, run.started_at.date())
    data = revision.data
    recording = _recording(run)
    judged, advised = _judged(run, data, recording), _advised(run, data, recording)
    run.judgements.filter(is_current=True).update(is_current=False)
    judgement = Judgement.objects.create(
        run=run,
        revision=revision,
        trace=None if run.is_void else newest_trace(run),
        verdict=judged.verdict.document(),
        repeat_seconds=judged.repeat_seconds,
        advisory=[one.document() for one in advised],
        advised=len(advised),
    )
    starts_keep(judgement, recording, data)
    opener = _Opener(run, revision)
    rows = [(_row(judgement, run, excursion), excursion) for excursion in judged.verdict.excursions]
    for chart in data.charts:
        opener.open_events(chart, [row for row, excursion in rows if excursion.chart == chart.name])
    Exceedance.objects.bulk_create(row for row, _ in rows)
    counts = [count for chart in data.charts for count in opener.open_repeats(chart)]
    judgement.verdict["repeats"] = [count.document() for count in counts]
    judgement.save(update_fields=["verdict"])
    return judgement


def judge_evidence(run: Run, data: EngineTypeData) -> Verdict:
    """Return the verdict on all evidence of a run by a type's data; nothing is stored."""
    return _judged(run, data, _recording(run)).verdict


def _recording(run: Run) -> Recording | None:
    """Return the recording that a run is judged by; None where there is none, or the run is void."""
    trace = None if run.is_void else newest_trace(run)
    return None if trace is None else recording_of(trace)


def _judged(run: Run, data: EngineTypeData, recording: Recording | None) -> Judged:
    if run.is_void:
        return Judged(Verdict(samples=0), {})
    judged = judge_in_full(recording, data) if recording else Judged(Verdict(samples=0), {})
    typed, seconds = _readings(run, data, judged.verdict)
    totals = {key: max(judged.repeat_seconds.get(key, 0.0), value) for key, value in seconds.items()}
    verdict = replace(judged.verdict, excursions=judged.verdict.excursions + tuple(typed))
    return Judged(verdict, judged.repeat_seconds | totals)


def _advised(run: Run, data: EngineTypeData, recording: Recording | None) -> tuple[Advised, ...]:
    """Return what went beyond the operator's own limits; nothing is opened by it."""
    if run.is_void or not data.advisory:
        return ()
    typed = [_typed(reading) for reading in run.standing_readings]
    return advised_in(data, run.engine.serial, recording.trace if recording else None, typed)


def _readings(run: Run, data: EngineTypeData, verdict: Verdict) -> tuple[list[Excursion], dict[str, float]]:
    """Return the verdicts on typed readings, and the seconds they add to each total-time rule.

    The first reading of a chart is taken to be of the first event that the trace shows there, and so on.
    """
    charts = {chart.name: chart for chart in data.charts}
    numbers: dict[str, list[int]] = defaultdict(list)
    for excursion in verdict.excursions:
        if excursion.possible not in numbers[excursion.chart]:
            numbers[excursion.chart].append(excursion.possible)
    found, seconds, seen = [], Counter[str](), Counter[str]()
    for reading in run.standing_readings:
        chart = charts.get(reading.chart)
        if chart is None:
            continue
        judged = judge_reading(chart, _typed(reading), _number(numbers[chart.name], seen[chart.name]))
        if judged is not None:
            found.append(judged)
            seen[chart.name] += 1
            seconds.update(_rule_seconds(chart, judged))
    return found, dict(seconds)


def _typed(reading: Reading) -> TypedReading:
    peak, unit = reading.judged
    return TypedReading(reading.chart, unit, peak, reading.seconds)


def _number(numbers: list[int], place: int) -> int:
    return numbers[place] if place < len(numbers) else max(numbers, default=0) + place - len(numbers) + 1


def _rule_seconds(chart: LimitChart, excursion: Excursion) -> dict[str, float]:
    """Return the seconds of a reading beyond each total-time rule's value; an unknown peak counts as beyond."""
    return {
        f"{chart.name}|{k}": excursion.seconds_above or 0.0
        for k, rule in enumerate(chart.repeats)
        if rule.above is not None and (excursion.peak is None or chart.sign * excursion.peak > chart.sign * rule.above)
    }


def _row(judgement: Judgement, run: Run, excursion: Excursion) -> Exceedance:
    document = excursion.document()
    fields = {name: value for name, value in document.items() if name != "evidence"}
    return Exceedance(
        judgement=judgement, engine_id=run.engine_id, side=excursion.side, evidence=excursion.evidence or "", **fields
    )


class _Opener:
    """Opens the inspections of one run; asking twice for the same opens nothing more."""

    def __init__(self, run: Run, revision: TypeRevision) -> None:
        self.run, self.revision = run, revision
        newest = Inspection.objects.filter(operator_id=run.operator_id).order_by("number").last()
        self.number = newest.number if newest else 0
        self.charts_with_events: set[str] = set()

    def open_events(self, chart: LimitChart, rows: list[Exceedance]) -> None:
        """Open one inspection for each event of a chart by its worst area, and link its exceedances to it."""
        events: dict[int, list[Exceedance]] = defaultdict(list)
        for row in rows:
            events[row.possible].append(row)
        order = [area.name for area in chart.areas]
        ordinals = Counter[str]()
        for number in sorted(events):
            places = [order.index(str(row.area_possible)) for row in events[number] if row.area_possible]
            if not places:
                continue
            area = chart.areas[max(places)]
            ordinals[area.name] += 1
            inspection = self._open(chart, f"area {area_name(chart, max(places))}", area.action, ordinals[area.name])
            self.charts_with_events.add(chart.name)
            for row in events[number]:
                row.inspection = inspection

    def open_repeats(self, chart: LimitChart) -> list[RepeatCount]:
        """Open what repeat rules call for, unless that is open already; return how each rule stands."""
        counts = repeat_counts(self.run.engine, chart)
        for count in counts:
            rule = f"repeat {count.index + 1}"
            if not count.is_reached or chart.name not in self.charts_with_events:
                continue
            pending = Inspection.objects.filter(
                engine_id=self.run.engine_id, chart=chart.name, rule=rule, state__in=UNSETTLED
            )
            if not pending.exists():
                self._open(chart, rule, chart.repeats[count.index].action, 1)
        return counts

    def _open(self, chart: LimitChart, rule: str, action: Action, ordinal: int) -> Inspection:
        known = Inspection.objects.filter(run=self.run, chart=chart.name, rule=rule, ordinal=ordinal).first()
        if known is not None:
            return known
        self.number += 1
        wanted = asdict(action)
        steps = wanted.pop("steps")
        inspection = Inspection.objects.create(
            operator_id=self.run.operator_id,
            number=self.number,
            engine_id=self.run.engine_id,
            run=self.run,
            revision=self.revision,
            chart=chart.name,
            rule=rule,
            ordinal=ordinal,
            source=chart.source,
            **wanted,
        )
        texts = steps or (action.summary,)
        Step.objects.bulk_create(
            Step(inspection=inspection, position=k, text=text) for k, text in enumerate(texts, start=1)
        )
        return inspection

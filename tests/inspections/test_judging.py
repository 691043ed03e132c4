"""Judging recorded runs, and opening what they call for, once each."""

import datetime
from typing import Any

import pytest

from engines import actions as engine_actions
from engines import models
from engines.models import Engine, Run
from inspections import actions, queries
from inspections.models import Exceedance, Inspection, Judgement
from logbook.models import Person
from tests.documents import type_document
from tests.keying import draft_keyed
from tests.runs import DAY, STARTED_AT, facts, hot, trace_file

Reading = tuple[str, float | None, float | None]


def recorded(engine: Engine, by: Person, *readings: Reading, day: int = 0, trace: Any = None) -> Run:
    """Return a run of a day, judged by its readings and its trace."""
    run = engine_actions.run_record(engine=engine, facts=facts(*readings, started_at=STARTED_AT + day * DAY), by=by)
    if trace is not None:
        engine_actions.trace_add(run=run, file=trace_file(trace), name="gauge.csv", by=by)
    actions.run_judge(run=run)
    return run


def opened(run: Run) -> list[tuple[str, str]]:
    return [(i.chart, i.rule) for i in run.inspections.order_by("number")]


def test_a_run_within_its_limits_opens_nothing(engine: Engine, mechanic: Person) -> None:
    run = recorded(engine, mechanic, trace=[650.0] * 20)
    judgement = queries.judgement_of(run)
    assert judgement is not None
    assert (opened(run), judgement.verdict["excursions"]) == ([], [])
    assert queries.condition_of(engine).label == "Serviceable"


def test_a_near_miss_is_stored_and_opens_nothing(engine: Engine, mechanic: Person) -> None:
    run = recorded(engine, mechanic, trace=hot(30))
    (row,) = queries.exceedances_of(run)
    assert (row.area, row.inspection, row.evidence) == (None, None, "")
    assert row.margin["next_area"] == "A"
    assert (opened(run), str(row)) == ([], "ITT, running: area none")


def test_an_exceedance_opens_its_inspection_with_its_steps(engine: Engine, mechanic: Person) -> None:
    run = recorded(engine, mechanic, trace=hot(30, 750.0))
    (inspection,) = run.inspections.all()
    assert (inspection.number, inspection.rule, inspection.summary) == (1, "area B", "Hot section inspection")
    assert (inspection.reference, inspection.source) == (
        "invented manual 72-00, revision 3",
        "invented for the tests, page 2",
    )
    assert inspection.required_inspection_item
    assert [step.text for step in inspection.steps.all()][0] == "Look at the turbine blades"
    assert [step.answer for step in inspection.steps.all()] == ["", ""]
    assert queries.exceedances_of(run).get().inspection == inspection
    condition = queries.condition_of(engine)
    assert (condition.label, condition.open_count) == ("Unserviceable", 1)
    assert condition.reasons == ("Inspection 1 is open: Hot section inspection",)


def test_what_is_not_due_before_flight_leaves_the_engine_serviceable(engine: Engine, mechanic: Person) -> None:
    recorded(engine, mechanic, trace=hot(70))
    condition = queries.condition_of(engine)
    assert (condition.is_serviceable, condition.open_count, condition.reasons) == (True, 1, ())


def test_a_step_stands_for_an_action_without_steps(engine: Engine, mechanic: Person) -> None:
    run = recorded(engine, mechanic, trace=hot(70))
    assert [step.text for step in run.inspections.get().steps.all()] == ["Find and correct the cause"]


def test_judging_again_opens_nothing_more_and_keeps_the_earlier_judgement(engine: Engine, mechanic: Person) -> None:
    run = recorded(engine, mechanic, trace=hot(70))
    again = actions.run_judge(run=run)
    assert (Inspection.objects.count(), Judgement.objects.count()) == (1, 2)
    assert queries.judgement_of(run) == again
    assert str(again) == f"{run} by revision 1"
    assert queries.exceedances_of(run).get().inspection == run.inspections.get()


def test_later_evidence_of_the_same_event_opens_only_what_is_new(engine: Engine, mechanic: Person) -> None:
    run = recorded(engine, mechanic, ("ITT, running", 715.0, 70.0))
    assert opened(run) == [("ITT, running", "area A")]
    engine_actions.trace_add(run=run, file=trace_file(hot(65)), name="gauge.csv", by=mechanic)
    actions.run_judge(run=run)
    assert opened(run) == [("ITT, running", "area A")]
    rows = queries.exceedances_of(run)
    assert [(row.evidence, row.possible) for row in rows] == [("", 1), ("reading", 1)]


def test_a_trace_that_shows_worse_than_was_written_opens_the_worse_besides(engine: Engine, mechanic: Person) -> None:
    run = recorded(engine, mechanic, ("ITT, running", 715.0, 70.0))
    engine_actions.trace_add(run=run, file=trace_file(hot(30, 750.0)), name="gauge.csv", by=mechanic)
    actions.run_judge(run=run)
    assert opened(run) == [("ITT, running", "area A"), ("ITT, running", "area B")]


def test_a_second_reading_is_another_event(engine: Engine, mechanic: Person) -> None:
    twice = [("ITT, running", 715.0, 70.0), ("ITT, running", 712.0, 65.0)]
    run = recorded(engine, mechanic, *twice)
    assert [(i.rule, i.ordinal) for i in run.inspections.all()] == [("area A", 1), ("area A", 2)]
    assert [row.possible for row in queries.exceedances_of(run)] == [1, 2]


def test_a_reading_within_the_limit_or_of_a_chart_since_removed_is_no_event(engine: Engine, mechanic: Person) -> None:
    run = recorded(engine, mechanic, ("ITT, running", 690.0, 70.0))
    assert not queries.exceedances_of(run).exists()
    models.Reading.objects.create(run=run, chart="gone", unit="degC", peak=900.0, seconds=70.0, recorded_by=mechanic)
    actions.run_judge(run=run)
    assert not queries.exceedances_of(run).exists()


def test_two_excursions_around_a_gap_open_one_inspection(engine: Engine, mechanic: Person) -> None:
    trace: list[Any] = [650.0, *[715.0] * 30, *["---"] * 10, *[715.0] * 30, 650.0]
    run = recorded(engine, mechanic, trace=trace)
    assert [(row.area, row.area_possible) for row in queries.exceedances_of(run)] == [(None, "A"), (None, "A")]
    assert opened(run) == [("ITT, running", "area A")]


def test_the_third_event_since_overhaul_calls_for_more_once(engine: Engine, mechanic: Person) -> None:
    for day in range(2):
        recorded(engine, mechanic, trace=hot(70), day=day)
    third = recorded(engine, mechanic, trace=hot(70), day=2)
    assert opened(third) == [("ITT, running", "area A"), ("ITT, running", "repeat 1")]
    judgement = queries.judgement_of(third)
    assert judgement is not None
    assert judgement.verdict["repeats"] == [
        {
            "chart": "ITT, running", "index": 0, "counted": 3, "allowed": 3, "is_reached": True,
            "rule": "3 events in area A or beyond since overhaul, causes corrected not counted",
            "action": "Borescope inspection",
        }
    ]  # fmt: skip
    fourth = recorded(engine, mechanic, trace=hot(70), day=3)
    assert opened(fourth) == [("ITT, running", "area A")]  # the borescope inspection is still open
    within = recorded(engine, mechanic, trace=[650.0] * 10, day=4)
    assert opened(within) == []


def test_a_corrected_cause_does_not_count(engine: Engine, mechanic: Person) -> None:
    first = recorded(engine, mechanic, trace=hot(70))
    actions.cause_set(inspection=first.inspections.get(), cause="corrected", text="Bleed valve stuck", by=mechanic)
    for day in (1, 2):
        last = recorded(engine, mechanic, trace=hot(70), day=day)
    assert opened(last) == [("ITT, running", "area A")]


def test_an_overhaul_begins_the_count_again(engine: Engine, mechanic: Person) -> None:
    engine.overhauled_on = (STARTED_AT + DAY).date()
    engine.save()
    for day in range(3):
        last = recorded(engine, mechanic, trace=hot(70), day=day)
    assert opened(last) == [("ITT, running", "area A")]


def repeating(engine: Engine, **rule: Any) -> None:
    """Give the engine's type one repeat rule."""
    document = type_document(name=engine.engine_type.name)
    action = {"summary": "Borescope inspection", "before_next_flight": True}
    document["charts"][1]["repeats"] = [rule | {"action": action}]
    engine.engine_type.revisions.update(document=document)


def test_total_time_calls_for_more_when_it_is_passed(engine: Engine, mechanic: Person) -> None:
    repeating(engine, above=710, seconds=100, since="new")
    assert opened(recorded(engine, mechanic, trace=hot(70))) == [("ITT, running", "area A")]
    # 715 for 69 s between samples, and a little of each slope: twice that is above 100 s.
    assert ("ITT, running", "repeat 1") in opened(recorded(engine, mechanic, trace=hot(70), day=1))


def test_a_reading_counts_into_the_total_time(engine: Engine, mechanic: Person) -> None:
    repeating(engine, above=710, seconds=100, since="new")
    assert ("ITT, running", "repeat 1") not in opened(recorded(engine, mechanic, ("ITT, running", 709.0, 150.0)))
    assert ("ITT, running", "repeat 1") in opened(recorded(engine, mechanic, ("ITT, running", 712.0, 101.0), day=1))


def test_hours_bound_what_counts(engine: Engine, mechanic: Person) -> None:
    repeating(engine, area="A", count=2, since={"hours": 10})
    recorded(engine, mechanic, trace=hot(70))
    engine_actions.run_record(
        engine=engine, facts=facts(started_at=STARTED_AT + DAY, typed_run_time_s=11 * 3600), by=mechanic
    )
    late = recorded(engine, mechanic, trace=hot(70), day=2)
    assert opened(late) == [("ITT, running", "area A")]
    soon = recorded(engine, mechanic, trace=hot(70), day=3)
    assert ("ITT, running", "repeat 1") in opened(soon)


def test_an_approved_inspection_of_that_name_begins_the_count_again(
    engine: Engine, mechanic: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    from inspections.closing import Closing

    repeating(engine, area="A", count=2, since={"action": "borescope inspection"})
    recorded(engine, mechanic, trace=hot(70))
    second = recorded(engine, mechanic, trace=hot(70), day=1)
    borescope = second.inspections.get(rule="repeat 1")
    for step in borescope.steps.all():
        actions.step_answer(step=step, answer="done", reason="", by=mechanic)
    closing = Closing("approved", "All stages looked at", datetime.date(2026, 5, 6), "Kind", "T-1", "A. Tester")
    actions.inspection_close(inspection=borescope, by=mechanic, closing=closing)
    third = recorded(engine, mechanic, trace=hot(70), day=3)
    assert opened(third) == [("ITT, running", "area A")]
    fourth = recorded(engine, mechanic, trace=hot(70), day=4)
    assert ("ITT, running", "repeat 1") in opened(fourth)


def test_runs_are_judged_by_the_revision_in_force_when_they_ran(
    engine: Engine, mechanic: Person, director: Person
) -> None:
    document = type_document(name=engine.engine_type.name)
    document["charts"][1]["areas"][0]["allowed"][0]["seconds"] = 20
    revision = engine_actions.revision_enter(
        engine_type=engine.engine_type, document=document, source="Bulletin",
        in_force_from=(STARTED_AT + DAY).date(), by=mechanic,
    )  # fmt: skip
    engine_actions.revision_adopt(revision=draft_keyed(revision, director), by=director)
    assert opened(recorded(engine, mechanic, trace=hot(30))) == []
    late = recorded(engine, mechanic, trace=hot(30), day=1)
    assert opened(late) == [("ITT, running", "area A")]
    assert Exceedance.objects.get(inspection__isnull=False).judgement.revision == revision


def test_another_operator_s_inspections_are_not_there(engine: Engine, mechanic: Person, stranger: Person) -> None:
    inspection = recorded(engine, mechanic, trace=hot(70)).inspections.get()
    assert list(queries.inspection_open_list(mechanic)) == [inspection]
    assert queries.inspection_for(mechanic, inspection.pk) == inspection
    assert not queries.inspection_list(stranger).exists()
    with pytest.raises(Inspection.DoesNotExist):
        queries.inspection_for(stranger, inspection.pk)

"""Tasks of engines as they are stored: added, done, extended once, and standing as of a day."""

import uuid
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from engines.actions import (
    Accomplishment,
    line_correct,
    part_fit,
    part_remove,
    run_record,
    task_add,
    task_extend,
    task_record,
)
from engines.actions.parts import Fitting
from engines.errors import DocumentError, DomainError
from engines.evidence import RunFacts
from engines.models import Component, Engine, Run, TaskRecord
from engines.standing import Standing, standings_before, standings_of, with_tasks
from logbook.models import Person
from tests.documents import type_document
from tests.factories import ComponentFactory, EngineFactory, RunFactory, TypeRevisionFactory

H = 3600
TODAY = timezone.localdate()
LOOK = {"name": "Look", "kind": "inspection", "mandatory": True, "repeat": {"run_time_h": 100}}
OVERHAUL = {"name": "Overhaul", "kind": "overhaul", "mandatory": True, "repeat": {"run_time_h": 3000}}
HOT = {"name": "Hot section", "kind": "hot_section", "mandatory": True, "repeat": {"run_time_h": 50, "months": 6}}
DIRECTIVE = {
    "name": "Disc",
    "kind": "directive",
    "mandatory": True,
    "number": "INV-7",
    "initial": {"run_time_h": 10, "days": 30},
    "repeat": {"run_time_h": 20},
    "extension": {"run_time_h": 2},
    "counts_from": "begun",
    "source": "invented for the tests",
}


def tasked(engine: Engine, *tasks: dict[str, Any]) -> Engine:
    """Return an engine whose type's newest revision has some tasks."""
    TypeRevisionFactory.create(engine_type=engine.engine_type, document=type_document() | {"tasks": list(tasks)})
    return engine


def run(engine: Engine, days_ago: float, hours: float) -> None:
    began = timezone.now() - timedelta(days=days_ago)
    RunFactory.create(engine=engine, started_at=began, run_time_s=round(hours * H), starts=1)


def standing(engine: Engine, name: str = "", **about: Any) -> Standing:
    found = standings_of([engine], **about)[engine.pk]
    return next(s for s in found if not name or s.task.name == name)


def said(on: date = TODAY, outcome: str = "done", **more: Any) -> Accomplishment:
    return Accomplishment(outcome, on, more.pop("method", "As the manual says"), **more)


def left(found: Standing) -> dict[str, int]:
    return {part.counter: part.left for part in found.left}


def test_a_task_of_the_type_counts_since_new_and_then_from_when_it_was_done(engine: Engine, mechanic: Person) -> None:
    tasked(engine, LOOK)
    run(engine, 3, 60)
    assert left(standing(engine)) == {"run_time": 40 * H}
    task_record(standing=standing(engine), said=said(TODAY - timedelta(days=2)), by=mechanic)
    run(engine, 1, 10)
    assert left(standing(engine)) == {"run_time": 90 * H}
    assert standing(engine).state == "running"


def test_a_late_line_does_not_undo_a_later_one(engine: Engine, mechanic: Person) -> None:
    tasked(engine, LOOK)
    run(engine, 9, 60)
    run(engine, 3, 10)
    task_record(standing=standing(engine), said=said(TODAY), by=mechanic)
    task_record(standing=standing(engine), said=said(TODAY - timedelta(days=8)), by=mechanic)
    assert standing(engine).last.used["run_time"] == 70 * H
    assert standing(engine, on=TODAY - timedelta(days=5)).last.used["run_time"] == 60 * H


def test_what_is_passed_is_overdue(engine: Engine) -> None:
    tasked(engine, LOOK)
    run(engine, 3, 100)
    assert (standing(engine).state, left(standing(engine))) == ("reached", {"run_time": 0})


def test_stated_counters_stand_before_recorded_ones(engine: Engine, mechanic: Person) -> None:
    tasked(engine, LOOK)
    task_record(standing=standing(engine), said=said(used={"run_time": 500 * H}), by=mechanic)
    assert standing(engine).point.at == (("run_time", 600 * H),)


def test_an_overhaul_does_what_is_done_with_it(engine: Engine, mechanic: Person) -> None:
    tasked(engine, OVERHAUL, HOT | {"done_with": ["Overhaul"]})
    assert standing(engine, "Hot section").state == "not_known"
    run(engine, 3, 60)
    task_record(standing=standing(engine, "Overhaul"), said=said(TODAY - timedelta(days=1)), by=mechanic)
    found = standing(engine, "Hot section")
    assert (found.last, left(found)["run_time"]) == (None, 50 * H)
    assert found.point.basis == f"last done {TODAY - timedelta(days=1)}"


def test_a_directive_counts_from_the_day_it_applies(engine: Engine, director: Person) -> None:
    run(engine, 40, 100)
    run(engine, 3, 4)
    task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY - timedelta(days=20), by=director)
    found = standing(engine)
    assert left(found) == {"run_time": 6 * H, "days": 10}
    assert (found.key, found.own.data.number) == (str(found.own.pk), "INV-7")


@pytest.mark.parametrize("outcome", ["terminated", "not_applicable"])
def test_what_is_ended_is_closed_for_good(engine: Engine, director: Person, outcome: str) -> None:
    task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY, by=director)
    task_record(standing=standing(engine), said=said(outcome=outcome), by=director)
    assert (standing(engine).state, standing(engine).left) == ("closed", ())
    with pytest.raises(DomainError) as refused:
        task_record(standing=standing(engine), said=said(), by=director)
    assert refused.value.code == "task_closed"


def test_a_revised_directive_takes_the_place_of_the_other(engine: Engine, director: Person) -> None:
    first = task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY, by=director)
    revised = DIRECTIVE | {"revision": "1"}
    task_add(engine=engine, document=revised, begins_on=TODAY, by=director, replaces=first)
    assert [s.task.revision for s in standings_of([engine])[engine.pk]] == ["1"]
    with pytest.raises(DomainError) as refused:
        task_add(engine=engine, document=DIRECTIVE | {"name": "B"}, begins_on=TODAY, by=director, replaces=first)
    assert refused.value.code == "task_replaced"


def test_an_extension_is_granted_once_by_the_source(engine: Engine, director: Person) -> None:
    task_add(engine=engine, document=DIRECTIVE, begins_on=TODAY, by=director)
    task_extend(standing=standing(engine), reason="Part delayed", by=director)
    assert left(standing(engine)) == {"run_time": 12 * H, "days": 30}
    assert standing(engine).last.said == "Extended once, as the source grants"
    with pytest.raises(DomainError) as refused:
        task_extend(standing=standing(engine), reason="Again", by=director)
    assert refused.value.code == "extended_before"
    task_record(standing=standing(engine), said=said(), by=director)
    task_extend(standing=standing(engine), reason="After the next one", by=director)
    assert left(standing(engine)) == {"run_time": 22 * H}


def test_a_task_of_the_type_is_extended_before_it_was_ever_done(engine: Engine, director: Person) -> None:
    tasked(engine, LOOK | {"extension": {"run_time_h": 5}, "source": "invented"})
    task_extend(standing=standing(engine), reason="Away from base", by=director)
    assert left(standing(engine)) == {"run_time": 105 * H}


@pytest.mark.parametrize(
    ("reason", "document", "code"),
    [("Why", LOOK, "not_granted"), (" ", LOOK | {"extension": {"starts": 1}, "source": "x"}, "text_missing")],
)
def test_no_extension_without_grant_or_reason(
    engine: Engine, director: Person, reason: str, document: dict[str, Any], code: str
) -> None:
    tasked(engine, document)
    with pytest.raises(DomainError) as refused:
        task_extend(standing=standing(engine), reason=reason, by=director)
    assert refused.value.code == code


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (Accomplishment("begun", TODAY, "x"), "outcome_unknown"),
        (Accomplishment("done", TODAY, "  "), "text_missing"),
        (Accomplishment("not_applicable", TODAY, ""), "text_missing"),
        (Accomplishment("done", TODAY + timedelta(days=1), "x"), "date_impossible"),
    ],
)
def test_what_says_too_little_is_refused(engine: Engine, mechanic: Person, line: Accomplishment, code: str) -> None:
    tasked(engine, LOOK)
    with pytest.raises(DomainError) as refused:
        task_record(standing=standing(engine), said=line, by=mechanic)
    assert (refused.value.code, TaskRecord.objects.count()) == (code, 0)


def test_a_task_is_added_whole_and_under_a_name_of_its_own(engine: Engine, director: Person) -> None:
    tasked(engine, LOOK)
    for document, day, error in (
        ({"name": "Half"}, TODAY, DocumentError),
        (LOOK, TODAY, DomainError),
        (DIRECTIVE, TODAY + timedelta(days=1), DomainError),
    ):
        with pytest.raises(error):
            task_add(engine=engine, document=document, begins_on=day, by=director)
    assert not engine.tasks.exists()


def test_an_idle_engine_is_to_be_preserved_and_preserved_again(engine: Engine, mechanic: Person) -> None:
    preserve = {"name": "Preserve", "kind": "preservation", "mandatory": True}
    tasked(engine, preserve | {"initial": {"days": 28}, "repeat": {"days": 90}})
    assert standing(engine).state == "closed"
    run(engine, 30, 1)
    assert (standing(engine).state, left(standing(engine))) == ("reached", {"days": -2})
    task_record(standing=standing(engine), said=said(TODAY - timedelta(days=1)), by=mechanic)
    assert left(standing(engine)) == {"days": 89}
    run(engine, 0, 1)
    assert left(standing(engine)) == {"days": 28}


def test_many_engines_cost_as_few_queries_as_one(engine: Engine, mechanic: Person) -> None:
    tasked(engine, LOOK, OVERHAUL, HOT)
    engines = [engine, *(EngineFactory.create(engine_type=engine.engine_type, operator=engine.operator) for _ in "ab")]
    for one in engines:
        run(one, 3, 2)
        task_record(standing=standing(one, "Look"), said=said(), by=mechanic)
    kept = Engine.objects.filter(pk__in=[e.pk for e in engines]).select_related("engine_type")
    with CaptureQueriesContext(connection) as asked:
        assert all(len(found) == 3 for found in standings_of(kept).values())
    assert len(asked) == 4
    read = list(with_tasks(kept))
    with CaptureQueriesContext(connection) as asked:
        standings_of(read)
    assert len(asked) == 2


def test_the_tasks_of_a_revision_count_from_its_day(engine: Engine) -> None:
    tasked(engine, LOOK)
    revision = engine.engine_type.revisions.latest("number")
    revision.in_force_from = TODAY + timedelta(days=2)
    revision.save()
    assert standings_of([engine])[engine.pk] == []
    assert standing(engine, on=TODAY + timedelta(days=2)).task.name == "Look"


def test_a_line_says_what_happened(engine: Engine, mechanic: Person) -> None:
    tasked(engine, LOOK)
    line = task_record(standing=standing(engine), said=said(date(2026, 5, 4)), by=mechanic)
    assert str(line) == "Look: Done, 2026-05-04"
    assert datetime.now(UTC) - line.at < timedelta(minutes=1)


def on_engine(engine: Engine, by: Person, brought_h: float = 0) -> Component:
    """Return a part that was fitted to an engine twenty days ago."""
    component: Component = ComponentFactory.create(operator=engine.operator, brought_run_time_s=round(brought_h * H))
    part_fit(component=component, engine=engine, position="", at=timezone.now() - timedelta(days=20), by=by)
    return component


def part_run(engine: Engine, by: Person, days_ago: float, hours: float) -> Run:
    began = timezone.now() - timedelta(days=days_ago)
    facts = RunFacts(uuid.uuid4(), Run.Kind.FLIGHT, began, typed_run_time_s=round(hours * H))
    return run_record(engine=engine, facts=facts, by=by)


BLADES = {"name": "Blades", "kind": "bulletin", "mandatory": True, "repeat": {"run_time_h": 100}}


def test_a_task_of_a_part_goes_by_the_parts_own_counters(engine: Engine, mechanic: Person) -> None:
    part_run(engine, mechanic, 30, 500)
    part = on_engine(engine, mechanic, brought_h=60)
    part_run(engine, mechanic, 10, 20)
    task_add(engine=engine, document=BLADES, begins_on=TODAY - timedelta(days=15), by=mechanic, component=part)
    found = standing(engine)
    assert (found.component, left(found), found.title) == (part, {"run_time": 20 * H}, f"Blades, of {part}")
    line = task_record(standing=found, said=said(TODAY - timedelta(days=5)), by=mechanic)
    part_run(engine, mechanic, 1, 3)
    assert (line.engine, line.component, line.used["run_time"]) == (None, part, 80 * H)
    assert left(standing(engine)) == {"run_time": 97 * H}
    assert [row.outcome for row in standing(engine).lines] == ["done", "begun"]


def test_a_task_of_a_part_goes_with_the_part(engine: Engine, mechanic: Person) -> None:
    part = on_engine(engine, mechanic)
    task_add(engine=engine, document=BLADES, begins_on=TODAY, by=mechanic, component=part)
    other = EngineFactory.create(engine_type=engine.engine_type, operator=engine.operator)
    part_remove(component=part, at=timezone.now() - timedelta(hours=2), by=mechanic)
    assert standings_of([engine, other]) == {engine.pk: [], other.pk: []}
    part_fit(component=part, engine=other, position="", at=timezone.now() - timedelta(hours=1), by=mechanic)
    assert standing(other).component == part


def test_a_part_and_its_engine_may_have_tasks_of_one_name(engine: Engine, mechanic: Person) -> None:
    part = on_engine(engine, mechanic)
    for component in (part, None):
        task_add(engine=engine, document=BLADES, begins_on=TODAY, by=mechanic, component=component)
    assert [s.component for s in standings_of([engine])[engine.pk]] == [part, None]
    with pytest.raises(DomainError) as refused:
        task_add(engine=engine, document=BLADES, begins_on=TODAY, by=mechanic, component=part)
    assert refused.value.code == "name_taken"


def test_only_a_part_that_runs_with_the_engine_gets_a_task_there(engine: Engine, mechanic: Person) -> None:
    with pytest.raises(DomainError) as refused:
        loose = ComponentFactory.create(operator=engine.operator)
        task_add(engine=engine, document=BLADES, begins_on=TODAY, by=mechanic, component=loose)
    assert refused.value.code == "not_fitted"


def test_how_a_part_stood_before_a_run_leaves_the_run_out(engine: Engine, mechanic: Person) -> None:
    part = on_engine(engine, mechanic, brought_h=60)
    task_add(engine=engine, document=BLADES, begins_on=TODAY - timedelta(days=15), by=mechanic, component=part)
    run_of = part_run(engine, mechanic, 3, 45)
    part_run(engine, mechanic, 1, 5)
    (before,) = standings_before(run_of)
    assert (before.state, left(before)) == ("running", {"run_time": 40 * H})
    assert standing(engine).state == "reached"


def test_what_counters_stood_at_follows_a_corrected_run(engine: Engine, mechanic: Person) -> None:
    """By hand: done after 60 h; that run was 50 h, so of 100 h after 10 h more there are still 90 h, not 80 h."""
    tasked(engine, LOOK)
    run(engine, 3, 60)
    done = task_record(standing=standing(engine), said=said(TODAY - timedelta(days=2)), by=mechanic)
    run(engine, 1, 10)
    first = Run.objects.order_by("started_at")[0]
    first.run_time_s = 50 * H
    first.save()
    found = standing(engine)
    assert found.last is not None
    assert (left(found), found.last.stood["run_time"], done.used["run_time"]) == ({"run_time": 90 * H}, 50 * H, 60 * H)
    assert [line.stood["run_time"] for line in found.lines] == [50 * H]
    Engine.objects.filter(pk=engine.pk).update(opening_run_time_s=5 * H)
    found = standing(Engine.objects.get(pk=engine.pk))
    assert (left(found), found.last and found.last.stood["run_time"]) == ({"run_time": 90 * H}, 55 * H)


def test_what_a_person_stated_stands_and_an_extension_follows(engine: Engine, mechanic: Person) -> None:
    tasked(engine, LOOK | {"extension": {"run_time_h": 5}})
    run(engine, 3, 60)
    task_record(standing=standing(engine), said=said(TODAY - timedelta(days=2), used={"starts": 7}), by=mechanic)
    task_extend(standing=standing(engine), reason="Away from base", by=mechanic)
    first = Run.objects.get()
    first.run_time_s, first.starts = 50 * H, 2
    first.save()
    extended, done = standing(engine).lines
    assert [(line.stood["run_time"], line.stood["starts"]) for line in (extended, done)] == [(50 * H, 7)] * 2


def test_a_parts_counters_follow_its_corrected_fitting(engine: Engine, mechanic: Person) -> None:
    part: Component = ComponentFactory.create(operator=engine.operator, brought_run_time_s=H)
    at = timezone.now() - timedelta(days=9)
    line = part_fit(component=part, engine=engine, at=at, by=mechanic)
    run(engine, 8, 4)
    run(engine, 5, 3)
    look = LOOK | {"counts_from": "begun", "initial": {"run_time_h": 100}}
    task_add(engine=engine, component=part, document=look, begins_on=TODAY - timedelta(days=6), by=mechanic)
    assert standing(engine, "Look").lines.get().stood["run_time"] == 5 * H
    run(engine, 1, 2)
    assert left(standing(engine, "Look"))["run_time"] == 95 * H
    line_correct(line=line, stated=Fitting(at + timedelta(days=2), engine), why="Misread", by=mechanic)
    assert standing(engine, "Look").lines.get().stood["run_time"] == H
    assert left(standing(engine, "Look"))["run_time"] == 95 * H

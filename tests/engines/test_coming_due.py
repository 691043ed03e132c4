"""What comes due on engines: tasks and limits of parts in one order, by the use of each engine or a stated one."""

import uuid
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from engines.actions import LimitFacts, limit_add, part_fit, run_record
from engines.coming_due import DueLine, due_lines
from engines.evidence import RunFacts
from engines.forecast import stated_use
from engines.models import Component, Engine, Run
from engines.use import uses_of, weeks_of
from logbook.models import Person
from tests.documents import type_document
from tests.factories import ComponentFactory, EngineFactory, TypeRevisionFactory

H = 3600
TODAY = timezone.localdate()
LOOK = {"name": "Look", "kind": "inspection", "mandatory": True, "repeat": {"run_time_h": 100}}


def ran(engine: Engine, by: Person, days_ago: float, hours: float, **more: Any) -> None:
    began = timezone.now() - timedelta(days=days_ago)
    run_record(
        engine=engine,
        facts=RunFacts(uuid.uuid4(), Run.Kind.FLIGHT, began, typed_run_time_s=round(hours * H), **more),
        by=by,
    )


def fitted(engine: Engine, by: Person, **limits: Any) -> Component:
    component: Component = ComponentFactory.create(operator=engine.operator, description="Disc")
    part_fit(component=component, engine=engine, position="", at=timezone.now() - timedelta(days=300), by=by)
    for parameter, (amount, unit, more) in limits.items():
        facts = LimitFacts(amount=amount, unit=unit, source="Invented limits", source_revision="3", **more)
        named = {"part_number": component.part_number, "kind": "life", "parameter": parameter}
        limit_add(operator=engine.operator, facts=facts, by=by, **named)
    return component


def lines(*engines: Engine, **about: Any) -> list[DueLine]:
    return due_lines(engines, **about)


def test_use_is_counted_in_weeks_from_the_first_whole_one(engine: Engine, mechanic: Person) -> None:
    for days, hours in ((1, 5), (8, 7), (15, 6), (22, 2), (30, 100)):
        ran(engine, mechanic, days, hours)
    weeks = weeks_of([engine], TODAY)[engine.pk]
    assert weeks["run_time"] == [5 * H, 7 * H, 6 * H, 2 * H]
    assert uses_of(weeks)["run_time"].periods == 4
    assert weeks_of([EngineFactory.create()], TODAY) == {}


def test_half_a_year_with_a_run_in_every_week_counts_whole(engine: Engine, mechanic: Person) -> None:
    for week in range(27):
        ran(engine, mechanic, 7 * week + 1, week + 1)
    assert weeks_of([engine], TODAY)[engine.pk]["run_time"] == [(k + 1) * H for k in range(26)]


def test_parts_and_tasks_stand_in_one_order(engine: Engine, mechanic: Person) -> None:
    TypeRevisionFactory.create(engine_type=engine.engine_type, document=type_document() | {"tasks": [LOOK]})
    fitted(engine, mechanic, run_time=(60 * H, "s", {}), starts=(1000, "count", {}))
    for week in range(10):
        ran(engine, mechanic, 7 * week + 1, 4, typed_starts=3)
    part, task = lines(engine)
    assert (part.what, part.kind, part.mandatory, task.what) == (
        "Disc TB-100 " + part.component.serial,
        "Life limit",
        True,
        "Look",
    )
    assert part.left_words == ("20.0 h of run time left", "970 starts left")
    # 20 h at exactly 4 h a week.
    assert (part.earliest_on, part.latest_on) == (TODAY + timedelta(days=35), TODAY + timedelta(days=35))
    assert part.source == "Invented limits, revision 3"
    assert not part.is_within(30) and part.is_within(35)


def test_equivalent_cycles_are_foretold_by_their_weight(engine: Engine, mechanic: Person) -> None:
    fitted(engine, mechanic, equivalent_cycles=(100, "count", {"weight": Decimal("0.5")}))
    for week in range(4):
        ran(engine, mechanic, 7 * week + 1, 1, typed_cycles=2, typed_partial_cycles=2)
    ran(engine, mechanic, 29, 1)
    (line,) = lines(engine)
    # 3 equivalent cycles a week, 88 left: 205.3 days.
    assert line.left_words == ("88 equivalent cycles left",)
    assert (line.earliest_on, line.latest_on) == (TODAY + timedelta(days=205), TODAY + timedelta(days=206))


def test_a_calendar_limit_without_its_first_day_is_not_known(engine: Engine, mechanic: Person) -> None:
    fitted(engine, mechanic, calendar=(24, "months", {}))
    (line,) = lines(engine)
    assert (line.state_words, line.left_words, line.is_overdue) == ("not known", ("not known",), True)


def test_a_calendar_limit_has_its_day(engine: Engine, mechanic: Person) -> None:
    part = fitted(engine, mechanic, calendar=(24, "months", {}))
    part.made_on = TODAY - timedelta(days=30)
    part.save()
    (line,) = lines(engine)
    assert line.earliest_on == line.latest_on
    assert line.assumption == "By the calendar alone"


@pytest.mark.parametrize(("tolerance", "state"), [(0, "overdue"), (H, "overdue"), (5 * H, "not due yet")])
def test_what_is_over_is_overdue_unless_its_source_tolerates_it(
    engine: Engine, mechanic: Person, tolerance: int, state: str
) -> None:
    fitted(engine, mechanic, run_time=(10 * H, "s", {"tolerance": tolerance}))
    ran(engine, mechanic, 1, 12)
    (line,) = lines(engine)
    assert (line.state_words, line.left_words) == (state, ("2.0 h of run time over",))


def test_a_stated_use_stands_for_every_engine(engine: Engine, mechanic: Person) -> None:
    fitted(engine, mechanic, run_time=(60 * H, "s", {}))
    assert lines(engine)[0].when_words == "no day can be foretold"
    (line,) = lines(engine, stated={"run_time": stated_use(10 * H, 20 * H)})
    assert line.when_words == f"{TODAY + timedelta(days=90)} to {TODAY + timedelta(days=180)}"


def test_many_engines_and_parts_cost_as_few_queries_as_one(engine: Engine, mechanic: Person) -> None:
    engines = [engine, *(EngineFactory.create(engine_type=engine.engine_type, operator=engine.operator) for _ in "abc")]
    for one in engines:
        fitted(one, mechanic)
        fitted(one, mechanic, **({"run_time": (60 * H, "s", {})} if one is engine else {}))
        ran(one, mechanic, 1, 1)
    kept = list(Engine.objects.filter(pk__in=[e.pk for e in engines]).select_related("engine_type"))
    with CaptureQueriesContext(connection) as asked:
        assert len(lines(*kept)) == 8
    assert len(asked) <= 8

"""The record of an engine says of each part what it used in all and since it was fitted, in two queries."""

import datetime
from typing import Any

from engines.actions import part_fit, part_remove
from engines.models import Component, Engine
from engines.part_queries import component_for, component_times
from engines.queries import engine_times
from engines.record import engine_record
from engines.times import Times
from logbook.models import Person
from tests.factories import STARTED_AT, ComponentFactory, EngineFactory, RunFactory

DAY = datetime.timedelta(days=1)


def test_parts_carry_what_they_used_here_and_before(
    engine: Engine, mechanic: Person, django_assert_num_queries: Any
) -> None:
    Engine.objects.filter(pk=engine.pk).update(opening_starts=7)
    engine.refresh_from_db()
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
    wheel: Component = ComponentFactory.create(operator=engine.operator, brought_run_time_s=100)
    gone: Component = ComponentFactory.create(operator=engine.operator)
    for on in (engine, other):
        for day in range(4):
            RunFactory.create(
                engine=on, run_time_s=60, starts=1, cycles=2, started_at=STARTED_AT + day * DAY, recorded_by=mechanic
            )
    part_fit(component=wheel, engine=other, position="2", at=STARTED_AT, by=mechanic)
    part_remove(component=wheel, at=STARTED_AT + 1.5 * DAY, by=mechanic)
    part_fit(component=wheel, engine=engine, position="1", at=STARTED_AT + 2.5 * DAY, by=mechanic)
    part_fit(component=gone, engine=engine, position="3", at=STARTED_AT, by=mechanic)
    part_remove(component=gone, at=STARTED_AT + DAY / 2, by=mechanic)
    part_fit(component=gone, engine=other, position="3", at=STARTED_AT + DAY, by=mechanic)
    with django_assert_num_queries(2):
        record = engine_record(engine)
    assert record.times == Times(240, 0, 11, 8) == engine_times(engine)
    (part,) = record.parts
    assert (part.component, part.line.position, part.line.recorded_by) == (wheel, "1", mechanic)
    assert (part.times, part.since_fitted) == (Times(280, 0, 3, 6), Times(60, 0, 1, 2))
    assert part.times == component_times(component_for(mechanic, wheel.pk))
    assert [(str(line.component), line.kind) for line in record.moves] == [
        (str(wheel), "fitted"),
        (str(gone), "removed"),
        (str(gone), "fitted"),
    ]


def test_an_engine_without_parts_has_times_alone(engine: Engine) -> None:
    record = engine_record(engine)
    assert (record.times, record.parts, record.moves) == (Times(), (), ())

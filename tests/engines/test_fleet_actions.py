"""Entering types, revisions, engines and parts."""

import datetime
from typing import Any

import pytest

from engines import actions, part_queries, queries
from engines.errors import DocumentError, DomainError
from engines.models import Engine, EngineType, Operator, TypeRevision
from engines.times import Times
from logbook.models import Person
from tests.documents import type_document
from tests.factories import ComponentFactory, EngineFactory, RunFactory
from tests.runs import DAY, STARTED_AT


def entered(engine: Engine, by: Person, **changes: Any) -> TypeRevision:
    document = type_document(name=engine.engine_type.name) | changes
    return actions.revision_enter(
        engine_type=engine.engine_type,
        document=document,
        source="Invented bulletin 2",
        in_force_from=datetime.date(2026, 6, 1),
        by=by,
    )


def refused(code: str, action: Any, **arguments: Any) -> DomainError:
    with pytest.raises(DomainError) as caught:
        action(**arguments)
    assert caught.value.code == code
    return caught.value


def test_the_first_revision_of_a_type_is_in_force_from_the_beginning(operator: Operator, director: Person) -> None:
    revision = actions.engine_type_add(operator=operator, document=type_document(), source="Manual", by=director)
    assert (revision.number, revision.is_adopted, revision.in_force_from) == (1, True, None)
    assert queries.revision_in_force(revision.engine_type, datetime.date(1999, 1, 1)) == revision
    assert str(revision) == "Testbird TB-1, limits revision 1"


def test_a_document_is_read_once_and_a_changed_one_anew(engine: Engine) -> None:
    first, second = (TypeRevision.objects.get(engine_type=engine.engine_type) for _ in range(2))
    assert first.data is second.data
    second.document["max_gap_s"] = 3.0
    assert (first.data.max_gap_s, second.data.max_gap_s) == (2.0, 3.0)


def test_a_type_is_entered_whole_or_not_at_all(operator: Operator, director: Person) -> None:
    with pytest.raises(DocumentError):
        actions.engine_type_add(operator=operator, document=type_document(charts=3), source="", by=director)
    assert not EngineType.objects.exists()
    arguments = {"operator": operator, "document": type_document(), "source": "", "by": director}
    actions.engine_type_add(**arguments)
    refused("name_taken", actions.engine_type_add, **arguments)


def test_a_changed_revision_waits_for_a_second_person_and_for_its_day(
    engine: Engine, director: Person, inspector: Person
) -> None:
    draft = entered(engine, director)
    first = engine.engine_type.revisions.get(number=1)
    late = datetime.date(2026, 6, 1)
    assert queries.revision_in_force(engine.engine_type, late) == first
    refused("second_person_needed", actions.revision_adopt, revision=draft, by=director)
    adopted = actions.revision_adopt(revision=draft, by=inspector)
    assert (adopted.checked_by_id, adopted.is_adopted) == (inspector.pk, True)
    assert queries.revision_in_force(engine.engine_type, late) == adopted
    assert queries.revision_in_force(engine.engine_type, late - DAY) == first
    refused("already_adopted", actions.revision_adopt, revision=draft, by=inspector)


@pytest.mark.parametrize(
    ("changes", "arguments", "code"),
    [
        ({"name": "Another"}, {}, "document_invalid"),
        ({"channels": [{"name": "itt", "unit": "degF"}], "charts": [], "segmentation": None}, {}, "document_invalid"),
        ({}, {"source": " "}, "source_missing"),
        ({}, {"in_force_from": None}, "date_missing"),
    ],
)
def test_what_a_revision_is_refused_for(
    engine: Engine, director: Person, changes: Any, arguments: Any, code: str
) -> None:
    document = type_document(name=engine.engine_type.name) | changes
    given = {"source": "Bulletin", "in_force_from": datetime.date(2026, 6, 1)} | arguments
    refused(code, actions.revision_enter, engine_type=engine.engine_type, document=document, by=director, **given)
    assert engine.engine_type.revisions.count() == 1


def test_a_serial_is_used_once(engine: Engine) -> None:
    arguments = {"operator": engine.operator, "engine_type": engine.engine_type}
    assert actions.engine_add(**arguments, serial=" TB-2 ", opening_starts=3).serial == "TB-2"
    refused("serial_taken", actions.engine_add, **arguments, serial="TB-2")
    parts = {"operator": engine.operator, "part_number": "P-1"}
    assert str(actions.component_add(**parts, serial="7")) == "P-1 7"
    refused("serial_taken", actions.component_add, **parts, serial="7")


def test_engine_times_are_the_opening_and_every_run(engine: Engine) -> None:
    engine.opening_run_time_s, engine.opening_starts = 3600, 5
    engine.save()
    for day in range(3):
        RunFactory.create(
            engine=engine, run_time_s=600, time_in_service_s=400, starts=1, cycles=1, started_at=STARTED_AT + day * DAY
        )
    assert queries.engine_times(engine) == Times(5400, 1200, 8, 3)
    assert queries.engine_times(engine, STARTED_AT + DAY) == Times(4800, 800, 7, 2)
    other = EngineFactory.create(operator=engine.operator)
    assert queries.engines_times([engine, other]) == {engine.pk: Times(5400, 1200, 8, 3), other.pk: Times()}


def test_a_part_uses_what_its_engine_uses_while_it_is_fitted(engine: Engine, mechanic: Person) -> None:
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type)
    part = ComponentFactory.create(operator=engine.operator, brought_run_time_s=100, brought_starts=1)
    refused("not_fitted", actions.part_remove, component=part, at=STARTED_AT, by=mechanic)
    for on, days in ((engine, range(4)), (other, range(4))):
        for day in days:
            RunFactory.create(engine=on, run_time_s=60, starts=1, cycles=1, started_at=STARTED_AT + day * DAY)
    half = DAY / 2
    actions.part_fit(component=part, engine=engine, position="compressor", at=STARTED_AT + half, by=mechanic)
    refused(
        "already_fitted", actions.part_fit, component=part, engine=other, position="", at=STARTED_AT + DAY, by=mechanic
    )
    refused("out_of_order", actions.part_remove, component=part, at=STARTED_AT, by=mechanic)
    part = part_queries.component_for(mechanic, part.pk)
    assert part_queries.components_fitted(engine) == [part]
    assert part_queries.component_times(part) == Times(100 + 3 * 60, 0, 4, 3)
    line = actions.part_remove(component=part, at=STARTED_AT + DAY + half, by=mechanic)
    assert (line.engine, line.position, str(line)) == (engine, "compressor", f"{part} removed {engine}")
    actions.part_fit(component=part, engine=other, position="", at=STARTED_AT + 2 * DAY + half, by=mechanic)
    part = part_queries.component_for(mechanic, part.pk)
    # Run of day 1 on the first engine, run of day 3 on the second.
    assert part_queries.component_times(part) == Times(100 + 2 * 60, 0, 3, 2)
    assert part_queries.components_fitted(engine) == []


def test_another_operator_s_things_are_not_there(engine: Engine, stranger: Person, director: Person) -> None:
    run = RunFactory.create(engine=engine)
    part = ComponentFactory.create(operator=engine.operator)
    revision = engine.engine_type.revisions.get()
    for query, thing in (
        (queries.engine_for, engine),
        (queries.engine_type_for, engine.engine_type),
        (queries.revision_for, revision),
        (queries.run_for, run),
        (part_queries.component_for, part),
    ):
        assert query(director, thing.pk) == thing  # type: ignore[operator]
        with pytest.raises(type(thing).DoesNotExist):  # type: ignore[attr-defined]
            query(stranger, thing.pk)  # type: ignore[operator]

import pytest

from engines.filters import ComponentFilter, EngineFilter, RunFilter, engine_types_seen, engines_seen
from engines.models import Component, Engine, Run
from tests.factories import ComponentFactory, EngineFactory, RunFactory


def test_nobody_chooses_from_nothing() -> None:
    assert not engines_seen(None).exists()
    assert not engine_types_seen(None).exists()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("query", "days"),
    [
        ({}, {4, 5, 6}),
        ({"from": "2026-05-05"}, {5, 6}),
        ({"to": "2026-05-05"}, {4, 5}),
        ({"from": "2026-05-05", "to": "2026-05-05"}, {5}),
        ({"kind": "flight"}, {6}),
    ],
)
def test_runs_are_narrowed_by_day_both_ends_included(query: dict[str, str], days: set[int]) -> None:
    engine = EngineFactory.create()
    for day, kind in ((4, "ground_run"), (5, "ground_run"), (6, "flight")):
        RunFactory.create(engine=engine, kind=kind, started_at=f"2026-05-{day:02}T23:59:59Z")
    assert {run.started_at.day for run in RunFilter(query, Run.objects.all()).qs} == days


@pytest.mark.django_db
def test_engines_and_components_are_found_by_a_part_of_their_serial() -> None:
    EngineFactory.create(serial="TB-0012")
    EngineFactory.create(serial="ZZ-0013")
    ComponentFactory.create(part_number="TB-100", serial="P-7")
    assert [e.serial for e in EngineFilter({"serial": "tb"}, Engine.objects.all()).qs] == ["TB-0012"]
    assert ComponentFilter({"part_number": "tb-1", "serial": "p"}, Component.objects.all()).qs.count() == 1
    assert ComponentFilter({"serial": "q"}, Component.objects.all()).qs.count() == 0


def test_a_day_that_is_none_is_a_fault_of_its_field() -> None:
    assert list(RunFilter({"from": "2026-02-30"}, Run.objects.none()).errors) == ["from"]

"""Whatever happens in whatever order, a part has used the runs of the engine that it was on, and what it brought."""

import datetime
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engines.actions import (
    LimitFacts,
    component_correct,
    ledger_correct,
    limit_add,
    line_correct,
    part_done_add,
    part_done_correct,
    part_fit,
    part_move,
    part_remove,
)
from engines.actions.parts import Fitting, Removal
from engines.actions.stays import used_by
from engines.errors import DomainError
from engines.models import Component, Engine, PartDone, PartMovement, PartStay, Run
from engines.part_queries import arithmetics_of, component_times, lines_standing
from engines.times import Times
from logbook.models import Person
from tests.factories import STARTED_AT, ComponentFactory, EngineFactory, RunFactory

HOURS = st.integers(0, 12)  # few, so that runs and movements often meet
ENGINES, PARTS = st.integers(0, 1), st.integers(0, 2)
USED = st.tuples(st.integers(0, 9), st.integers(0, 9), st.integers(0, 3), st.integers(0, 3), st.integers(0, 2))
ACTS = st.one_of(
    st.tuples(st.just("run"), ENGINES, HOURS, USED),
    st.tuples(st.just("run"), ENGINES, HOURS, USED),
    st.tuples(st.just("correct"), st.integers(0, 9), HOURS, USED),
    st.tuples(st.just("fit"), PARTS, st.integers(0, 3), HOURS),
    st.tuples(st.just("remove"), PARTS, st.just(0), HOURS),
    st.tuples(st.just("move"), PARTS, st.integers(0, 3), HOURS),
    st.tuples(st.just("strike"), PARTS, st.integers(0, 3), HOURS),
    st.tuples(st.just("overhaul"), PARTS, st.just(0), HOURS),
    st.tuples(st.just("restate"), PARTS, st.integers(0, 5), HOURS, st.integers(0, 3)),
    st.tuples(st.just("restate"), PARTS, st.integers(0, 5), HOURS, st.integers(0, 3)),
    st.tuples(st.just("overhauled_then"), PARTS, st.integers(0, 2), HOURS),
    st.tuples(st.just("brought"), PARTS, st.integers(0, 9)),
)


def hour(n: float) -> datetime.datetime:
    """Return the n-th hour."""
    return STARTED_AT + datetime.timedelta(hours=n)


def figures(used: tuple[int, ...]) -> dict[str, Any]:
    """Return what a run counts for."""
    names = ("run_time_s", "time_in_service_s", "starts", "cycles")
    return dict(zip(names, used[:4], strict=True)) | {"partial_cycles": used[3], "other": {"landings": used[4]}}


class World:
    """Two engines, a module, a part that may sit in it, and a part by itself."""

    def __init__(self, operator: Any, by: Person) -> None:
        self.by = by
        self.engines = [EngineFactory.create(operator=operator)]
        self.engines.append(EngineFactory.create(operator=operator, engine_type=self.engines[0].engine_type))
        self.parts = [ComponentFactory.create(operator=operator, brought_starts=k) for k in range(3)]
        facts = LimitFacts(amount=100, unit="count", source="Invented", source_revision="1")
        told: dict[str, Any] = {"part_number": "TB-100", "kind": "overhaul", "parameter": "cycles"}
        self.limit = limit_add(operator=operator, facts=facts, by=by, **told)

    def run(self, engine: int, n: int, used: tuple[int, ...]) -> None:
        by = {"recorded_by": self.by, "started_at": hour(n)}
        RunFactory.create(engine=self.engines[engine], **by, **figures(used))

    def correct(self, k: int, n: int, used: tuple[int, ...]) -> None:
        run = Run.objects.filter(engine__in=self.engines).order_by("recorded_at", "pk")[k : k + 1].first()
        if run is not None:
            for name, value in (figures(used) | {"started_at": hour(n)}).items():
                setattr(run, name, value)
            run.save()

    def host(self, k: int) -> dict[str, Any]:
        """Return an engine, or one of the first two parts as a module."""
        return {"engine": self.engines[k]} if k < 2 else {"parent": self.parts[k - 2]}

    def fit(self, part: int, host: int, n: int) -> None:
        part_fit(component=self.parts[part], at=hour(n), by=self.by, **self.host(host))

    def remove(self, part: int, _: int, n: int) -> None:
        part_remove(component=self.parts[part], at=hour(n), by=self.by)

    def move(self, part: int, host: int, n: int) -> None:
        fitting = Fitting(at=hour(n), **self.host(host))
        part_move(component=self.parts[part], removal=Removal(hour(n)), fitting=fitting, by=self.by)

    def strike(self, part: int, host: int, n: int) -> None:
        """Say that the last line was wrong, and that a fitting was at another time or elsewhere."""
        component = self.parts[part]
        last = lines_standing().filter(component=component).last()
        if last is not None:
            told = {"kind": PartMovement.Kind.FITTED, "at": hour(n)} | self.host(host)
            lines = [told] if last.kind == PartMovement.Kind.FITTED else []
            ledger_correct(component=component, struck=[last.pk], reason="Misread", lines=lines, by=self.by)

    def overhaul(self, part: int, _: int, n: int) -> None:
        steps = ("disassembled", "cleaned", "inspected", "repaired", "reassembled", "tested")
        told: dict[str, Any] = {"reference": "Manual 1", "tested_by": "Test 2", "steps": steps}
        part_done_add(component=self.parts[part], limit=self.limit, at=hour(n), by=self.by, **told)

    def restate(self, part: int, k: int, n: int, host: int) -> None:
        """Correct a line of a ledger, struck ones too, to another time and, if a fitting, to another host."""
        line = PartMovement.objects.filter(component=self.parts[part]).order_by("pk")[k : k + 1].first()
        if line is not None:
            is_fitted = line.kind == PartMovement.Kind.FITTED
            stated = Fitting(at=hour(n), **self.host(host)) if is_fitted else Removal(hour(n))
            made = line_correct(line=line, stated=stated, why="Misread", by=self.by)
            assert made.life["used"] == vars(used_by(made.component, made.at))

    def overhauled_then(self, part: int, k: int, n: int) -> None:
        done = PartDone.objects.filter(component=self.parts[part]).order_by("pk")[k : k + 1].first()
        if done is not None:
            told: dict[str, Any] = {"reference": "Manual 1", "tested_by": "Test 2", "why": "Misread", "by": self.by}
            part_done_correct(done=done, at=hour(n), **told)

    def brought(self, part: int, starts: int) -> None:
        told: dict[str, Any] = {"brought_starts": starts, "opening_basis": "Log card 4"}
        self.parts[part] = component_correct(component=self.parts[part], why="Misread", **told)


def places(component: Component) -> list[tuple[datetime.datetime, datetime.datetime | None]]:
    """Return the spans in which a part was fitted to something, by its ledger line by line."""
    found: list[tuple[datetime.datetime, datetime.datetime | None]] = []
    lines = list(lines_standing().filter(component=component))
    for line in sorted(lines, key=lambda line: (line.at, line.kind == PartMovement.Kind.FITTED)):
        if line.kind == PartMovement.Kind.FITTED:
            found.append((line.at, None))
        else:
            found[-1] = (found[-1][0], line.at)
    return found


def engine_then(component: Component | None, at: datetime.datetime, depth: int = 0) -> Engine | None:
    """Return the engine that a part was on, by going through the ledgers line by line."""
    assert depth < 5
    host: Engine | Component | None = None
    lines = lines_standing().filter(component=component, at__lte=at)
    for line in sorted(lines, key=lambda line: (line.at, line.kind == PartMovement.Kind.FITTED)):
        host = (line.engine or line.parent) if line.kind == PartMovement.Kind.FITTED else None
    return engine_then(host, at, depth + 1) if isinstance(host, Component) else host


def added_up(component: Component, since: datetime.datetime | None = None) -> Times:
    """Return what a part has used, from every run there is."""
    used = component.brought if since is None else Times()
    for run in Run.objects.select_related("engine"):
        if engine_then(component, run.started_at) == run.engine and (since is None or run.started_at >= since):
            used += run.used
    return used


def tried(act: Callable[..., None], *arguments: Any) -> None:
    """Do something, or leave everything as it was where it is refused."""
    try:
        with transaction.atomic():
            act(*arguments)
    except DomainError:
        pass


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(acts=st.lists(ACTS, min_size=8, max_size=24))
@pytest.mark.django_db
def test_a_parts_status_is_the_sum_of_its_intervals_in_any_order_of_arrival(
    acts: list[tuple[Any, ...]], mechanic: Person
) -> None:
    with transaction.atomic():
        world = World(mechanic.operator, mechanic)
        for name, *arguments in acts:
            tried(getattr(world, name), *arguments)
        for part in world.parts:
            assert component_times(part) == added_up(part)
            done = PartDone.objects.filter(component=part, replaced_by=None).last()
            spans = places(part)
            assert all(a[1] is not None and a[0] < a[1] <= b[0] for a, b in pairwise(spans))
            ((_, arithmetic),) = arithmetics_of(part, [world.limit.limit])
            assert arithmetic.total == added_up(part, done.at if done else None).cycles
            assert arithmetic.total == arithmetic.opening + sum(line.amount for line in arithmetic.lines)
        transaction.set_rollback(True)


def test_a_late_run_ten_years_back_touches_its_own_engine_and_time(mechanic: Person) -> None:
    world = World(mechanic.operator, mechanic)
    day = datetime.timedelta(days=1)
    for k in range(3):
        part_fit(component=world.parts[k], engine=world.engines[k % 2], at=hour(k), by=mechanic)
    part_remove(component=world.parts[0], at=hour(30), by=mechanic)
    world.run(0, 10, (60, 0, 1, 1, 0))
    world.run(0, -87_660, (60, 0, 1, 1, 0))
    assert component_times(world.parts[0]) == Times(60, 0, 1, 1, 1)
    world.run(0, 40, (60, 0, 1, 1, 0))
    assert component_times(world.parts[0]) == Times(60, 0, 1, 1, 1)
    assert component_times(world.parts[2]).starts == 2 + 2
    assert used_by(world.parts[2], hour(40)).starts == 2 + 1
    assert used_by(world.parts[0], hour(0) - day) == Times()
    assert PartStay.objects.count() == 3


def test_a_point_counts_the_same_from_whichever_side(mechanic: Person) -> None:
    world = World(mechanic.operator, mechanic)
    for n in (1, 5, 9):
        world.run(0, n, (60, 0, 1, 1, 1))
    part_fit(component=world.parts[0], engine=world.engines[0], at=hour(9), by=mechanic)
    part_fit(component=world.parts[1], engine=world.engines[0], at=hour(5), by=mechanic)
    assert component_times(world.parts[0]) == Times(60, 0, 1, 1, 1, {"landings": 1})
    assert component_times(world.parts[1]) == Times(120, 0, 3, 2, 2, {"landings": 2})

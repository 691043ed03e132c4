"""Correcting what is recorded of parts: what follows is worked out again, and what can't have been is refused."""

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from engines.actions import (
    LimitFacts,
    Sending,
    component_correct,
    ledger_correct,
    limit_add,
    limit_correct,
    limit_replace,
    line_correct,
    part_done_add,
    part_done_correct,
    part_fit,
    part_move,
    part_remove,
    part_send,
)
from engines.actions.limits import OVERHAUL_STEPS
from engines.actions.parts import Fitting, Removal
from engines.errors import DomainError
from engines.models import Component, Engine, PartLimit, PartMovement
from engines.part_due import part_standings_of
from engines.part_queries import component_times, fitted_at, limits_of, off_since, statuses_of
from logbook.models import Person
from tests.documents import type_document
from tests.factories import STARTED_AT, ComponentFactory, EngineFactory, RunFactory

WHY = "Copied from the wrong line"
TODAY = datetime.date(2026, 6, 1)
FACTS = LimitFacts(100, "count", "Invented chapter 5", "3")


def hour(n: float) -> datetime.datetime:
    """Return the n-th hour."""
    return STARTED_AT + datetime.timedelta(hours=n)


def refused(code: str, act: Any, **told: Any) -> DomainError:
    """Expect a refusal of that code, which changes nothing."""
    before = PartMovement.objects.count()
    with pytest.raises(DomainError) as caught, transaction.atomic():
        act(**{"why": WHY} | told)
    assert (caught.value.code, PartMovement.objects.count()) == (code, before)
    return caught.value


@pytest.fixture
def other(engine: Engine) -> Engine:
    """Return a second engine of the same type."""
    made: Engine = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type)
    return made


@pytest.fixture
def disc(engine: Engine, mechanic: Person) -> Component:
    """Return a disc fitted at hour 2 and off at hour 20, of an engine that counts a start at hours 1, 3, 10 and 30."""
    part: Component = ComponentFactory.create(operator=engine.operator, part_number="D-1", serial="7")
    part_fit(component=part, engine=engine, at=hour(2), by=mechanic, position="disc")
    part_remove(component=part, at=hour(20), by=mechanic, place="shelf")
    for n in (1, 3, 10, 30):
        RunFactory.create(engine=engine, started_at=hour(n), starts=1, run_time_s=60)
    return part


def lines(part: Component) -> list[PartMovement]:
    return list(part.movements.order_by("pk"))


def test_times_follow_a_corrected_fitting_and_a_corrected_removal(
    engine: Engine, disc: Component, mechanic: Person
) -> None:
    assert component_times(disc).starts == 2
    fitted, removed = lines(disc)
    newer = line_correct(line=fitted, stated=Fitting(hour(0), engine, position="disc"), why=WHY, by=mechanic)
    assert component_times(disc).starts == 3
    assert (newer.replaces, fitted.void.reason, newer.life["used"]["starts"]) == (fitted, WHY, 0)
    made = line_correct(line=removed, stated=Removal(hour(40), place="shelf"), why=WHY, by=mechanic)
    assert (component_times(disc).starts, made.life["used"]["starts"]) == (4, 4)
    assert (made.engine, made.position) == (engine, "disc")
    third = line_correct(line=made, stated=Removal(hour(5), place="shelf"), why=WHY, by=mechanic)
    assert (component_times(disc).starts, third.replaces.replaces) == (2, removed)


def test_a_part_of_a_module_follows_the_module(
    engine: Engine, other: Engine, disc: Component, mechanic: Person
) -> None:
    module = ComponentFactory.create(operator=engine.operator)
    part_fit(component=module, engine=engine, at=hour(2), by=mechanic)
    blade = ComponentFactory.create(operator=engine.operator)
    part_fit(component=blade, parent=module, at=hour(2), by=mechanic)
    RunFactory.create(engine=other, started_at=hour(4), starts=5)
    assert component_times(blade).starts == 3
    (line,) = lines(module)
    with CaptureQueriesContext(connection) as asked:
        line_correct(line=line, stated=Fitting(hour(2), other), why=WHY, by=mechanic)
    assert (component_times(blade).starts, component_times(disc).starts) == (5, 2)
    assert len(asked) < 80, "what it touches only"
    (within,) = lines(blade)
    line_correct(line=within, stated=Fitting(hour(3), engine), why=WHY, by=mechanic)
    assert component_times(blade).starts == 3
    moved = Fitting(hour(3), parent=blade)
    assert (
        "sit in itself"
        in refused("sits_in_itself", line_correct, line=lines(blade)[-1], stated=moved, by=mechanic).message
    )


def test_what_a_corrected_line_can_not_be(engine: Engine, other: Engine, disc: Component, mechanic: Person) -> None:
    fitted, removed = lines(disc)
    of = {"line": fitted, "by": mechanic}
    on = {"engine": engine, "position": "disc"}
    part_fit(component=disc, at=hour(25), by=mechanic, **on)
    again = lines(disc)[-1]
    two = refused("out_of_order", line_correct, line=again, by=mechanic, stated=Fitting(hour(10), other)).message
    assert "fitted twice" in two and "Strike or correct the other line first" in two
    early = refused("out_of_order", line_correct, line=removed, by=mechanic, stated=Removal(hour(1)))
    assert "removed before it was ever fitted" in early.message
    at_once = refused("out_of_order", line_correct, line=removed, by=mechanic, stated=Removal(hour(2)))
    assert "removed before it was ever fitted" in at_once.message
    elsewhere = refused("out_of_order", line_correct, **of, stated=Fitting(hour(2), other)).message
    assert "from where it was not fitted" in elsewhere
    refused("out_of_order", line_correct, **of, stated=Fitting(hour(900_000), **on))
    refused("nothing_changed", line_correct, **of, stated=Fitting(hour(2), **on))
    refused("text_missing", line_correct, **of, stated=Fitting(hour(3), **on), why=" ")
    refused("host_missing", line_correct, **of, stated=Fitting(hour(3)))
    line_correct(**of, stated=Fitting(hour(3), **on), why=WHY)
    refused("corrected_before", line_correct, **of, stated=Fitting(hour(4), **on))


def test_two_parts_were_never_in_one_place(engine: Engine, disc: Component, mechanic: Person) -> None:
    _, removed = lines(disc)
    second = ComponentFactory.create(operator=engine.operator)
    part_fit(component=second, engine=engine, position="disc", at=hour(21), by=mechanic)
    late = refused("position_taken", line_correct, line=removed, stated=Removal(hour(22)), by=mechanic)
    assert str(second) in late.message
    early = Fitting(hour(19), engine, position="disc")
    assert (
        str(disc) in refused("position_taken", line_correct, line=lines(second)[0], stated=early, by=mechanic).message
    )
    line_correct(line=lines(second)[0], stated=Fitting(hour(19), engine, position="other"), why=WHY, by=mechanic)
    line_correct(line=removed, stated=Removal(hour(22)), why=WHY, by=mechanic)
    assert off_since(disc) is not None


def test_places_of_the_type_hold_for_what_is_stated_anew(engine: Engine, mechanic: Person) -> None:
    revision = engine.engine_type.revisions.get()
    revision.document = type_document(
        positions=[{"name": "hot section", "part_numbers": ["M-1"]}, {"name": "disc", "within": "hot section"}]
    )
    revision.save()
    module, part = (ComponentFactory.create(operator=engine.operator, part_number=n) for n in ("M-1", "D"))
    part_fit(component=module, engine=engine, position="hot section", at=hour(0), by=mechanic)
    part_fit(component=part, parent=module, position="disc", at=hour(1), by=mechanic)
    of = {"line": lines(part)[0], "by": mechanic}
    refused("position_unknown", line_correct, **of, stated=Fitting(hour(1), parent=module, position="nozzle"))
    line_correct(**of, stated=Fitting(hour(2), parent=module, position="disc"), why=WHY)
    before = Fitting(hour(-5), parent=module, position="anything")
    line_correct(line=lines(part)[1], stated=before, why=WHY, by=mechanic)


def test_a_struck_line_is_stated_anew(engine: Engine, disc: Component, mechanic: Person) -> None:
    _, removed = lines(disc)
    ledger_correct(component=disc, struck=[removed.pk], reason=WHY, lines=[], by=mechanic)
    assert fitted_at(disc) is not None
    made = line_correct(line=removed, stated=Removal(hour(20), place="shelf"), why=WHY, by=mechanic)
    assert (fitted_at(disc), made.replaces, removed.void.reason) == (None, removed, WHY)


def test_a_removal_and_a_fitting_of_one_moment_keep_their_order(
    engine: Engine, other: Engine, disc: Component, mechanic: Person
) -> None:
    part_fit(component=disc, engine=engine, at=hour(41), by=mechanic)
    part_move(component=disc, removal=Removal(hour(50)), fitting=Fitting(hour(50), other), by=mechanic)
    removed = lines(disc)[3]
    line_correct(line=removed, stated=Removal(hour(50), place="bench"), why=WHY, by=mechanic)
    assert off_since(disc) is None
    part_remove(component=disc, at=hour(60), by=mechanic)


def test_what_is_gone_moves_no_more(engine: Engine, disc: Component, mechanic: Person) -> None:
    removed = lines(disc)[1]
    part_send(component=disc, to="Farholm Air", at=hour(30), by=mechanic)
    sent = lines(disc)[2]
    refused("text_missing", line_correct, line=sent, stated=Sending(" ", hour(30)), by=mechanic)
    early = refused("out_of_order", line_correct, line=sent, stated=Sending("Farholm Air", hour(19)), by=mechanic)
    assert "went to another owner" in early.message
    refused("out_of_order", line_correct, line=removed, stated=Removal(hour(31)), by=mechanic)
    made = line_correct(line=sent, stated=Sending("Nearholm Air", hour(29), "2"), why=WHY, by=mechanic)
    assert (made.place, made.control, made.life["used"]["starts"]) == ("Nearholm Air", "2", 2)
    ledger_correct(component=disc, struck=[removed.pk], reason=WHY, lines=[], by=mechanic)
    still = refused("out_of_order", line_correct, line=made, stated=Sending("Farholm Air", hour(29)), by=mechanic)
    assert "while it was fitted" in still.message


def test_a_part_goes_to_another_owner_once(engine: Engine, disc: Component, mechanic: Person) -> None:
    part_send(component=disc, to="Farholm Air", at=hour(30), by=mechanic)
    sent = lines(disc)[2]
    ledger_correct(component=disc, struck=[sent.pk], reason=WHY, lines=[], by=mechanic)
    part_send(component=disc, to="Nearholm Air", at=hour(35), by=mechanic)
    twice = refused("out_of_order", line_correct, line=sent, stated=Sending("Farholm Air", hour(30)), by=mechanic)
    assert "twice" in twice.message


def test_a_mutilated_part_was_not_fitted_later(engine: Engine, disc: Component, mechanic: Person) -> None:
    removed = lines(disc)[1]
    part_fit(component=disc, engine=engine, at=hour(40), by=mechanic)
    found = refused("out_of_order", line_correct, line=removed, stated=Removal(hour(20), control="6"), by=mechanic)
    assert "mutilated" in found.message


def test_a_life_limited_part_keeps_its_control(
    engine: Engine, other: Engine, disc: Component, mechanic: Person
) -> None:
    told = {"operator": disc.operator, "part_number": "D-1", "kind": "life", "parameter": "starts"}
    limit_add(**told, facts=FACTS, by=mechanic)
    removed = lines(disc)[1]
    assert (
        "control" in refused("control_needed", line_correct, line=removed, stated=Removal(hour(21)), by=mechanic).fields
    )
    free = Removal(hour(20), is_temporary=True, place="shelf")
    line_correct(line=removed, stated=free, why=WHY, by=mechanic)
    part_fit(component=disc, engine=engine, position="disc", at=hour(29), by=mechanic)
    back = lines(disc)[-1]
    gained = Fitting(hour(31), engine, position="disc")
    refused("control_needed", line_correct, line=back, stated=gained, by=mechanic)
    refused("control_needed", line_correct, line=back, stated=Fitting(hour(29), other), by=mechanic)
    made = line_correct(line=back, stated=Fitting(hour(31), engine, position="disc", control="2"), why=WHY, by=mechanic)
    (row,) = made.life["limits"]
    assert (row["used"], row["remaining"]) == ("2", "98")
    (_, status) = statuses_of([disc], TODAY)[disc.pk].rows[0]
    assert status.remaining == 98


def test_a_part_that_goes_back_into_its_module_needs_no_method(engine: Engine, other: Engine, mechanic: Person) -> None:
    module, disc = (ComponentFactory.create(operator=engine.operator, part_number=n) for n in ("M-1", "D-1"))
    told = {"operator": disc.operator, "part_number": "D-1", "kind": "life", "parameter": "starts"}
    limit_add(**told, facts=FACTS, by=mechanic)
    part_fit(component=module, engine=engine, at=hour(0), by=mechanic)
    part_fit(component=disc, parent=module, at=hour(0), by=mechanic)
    part_remove(component=disc, at=hour(5), by=mechanic, is_temporary=True)
    part_fit(component=disc, parent=module, at=hour(6), by=mechanic)
    back = lines(disc)[-1]
    line_correct(line=back, stated=Fitting(hour(7), parent=module), why=WHY, by=mechanic)
    part_move(component=module, removal=Removal(hour(8)), fitting=Fitting(hour(8), other), by=mechanic)
    later = Fitting(hour(9), parent=module)
    refused("control_needed", line_correct, line=lines(disc)[-1], stated=later, by=mechanic)


def interval(disc: Component, by: Person, kind: str = "overhaul") -> PartLimit:
    told = {"operator": disc.operator, "part_number": "D-1", "kind": kind, "parameter": "starts"}
    return limit_add(**told, facts=FACTS, by=by)


def test_what_is_due_follows_a_corrected_overhaul(engine: Engine, disc: Component, mechanic: Person) -> None:
    limit, by = interval(disc, mechanic), mechanic
    part_fit(component=disc, engine=engine, at=hour(25), by=mechanic)
    told = {"reference": "Manual 72-30", "tested_by": "Test 4"}
    done = part_done_add(component=disc, limit=limit, at=hour(24), by=by, steps=OVERHAUL_STEPS, **told)
    (standing,) = part_standings_of([engine], TODAY)[engine.pk]
    assert [left.left for left in standing.left] == [99]
    newer = part_done_correct(done=done, at=hour(5), why=WHY, by=by, **told)
    (standing,) = part_standings_of([engine], TODAY)[engine.pk]
    assert ([left.left for left in standing.left], newer.replaces) == ([98], done)
    third = part_done_correct(done=newer, at=hour(35), why=WHY, by=by, **told)
    (_, status) = statuses_of([disc], TODAY)[disc.pk].rows[0]
    assert (status.used, third.replaces) == (0, newer)
    of = {"done": third, "by": by}
    refused("corrected_before", part_done_correct, done=done, by=by, at=hour(6), **told)
    refused("nothing_changed", part_done_correct, **of, at=hour(35), **told)
    refused("out_of_order", part_done_correct, **of, at=hour(900_000), **told)
    refused("text_missing", part_done_correct, **of, at=hour(36), reference=" ")
    refused("overhaul_incomplete", part_done_correct, **of, at=hour(36), reference="Manual")
    disc.made_on = hour(10_000).date()
    disc.save()
    assert "was made on" in refused("out_of_order", part_done_correct, **of, at=hour(36), **told).message


def test_a_limit_is_lowered_by_correction_and_never_raised(disc: Component, inspector: Person) -> None:
    limit = interval(disc, inspector, "life")
    of = {"limit": limit, "by": inspector}
    more = refused("limit_raised", limit_correct, **of, facts=LimitFacts(101, "count", "Invented chapter 5", "3"))
    assert "101 is more than 100" in more.message and "newer revision" in more.message
    refused("nothing_changed", limit_correct, **of, facts=FACTS)
    refused("limit_impossible", limit_correct, **of, facts=LimitFacts(0, "count", "x", "1"))
    newer = limit_correct(**of, facts=LimitFacts(98, "count", "Invented chapter 5", "3"), why=WHY)
    (row,) = limits_of(disc)
    assert (row, row.amount, row.is_correction, row.key) == (newer, 98, True, limit.key)
    (_, status) = statuses_of([disc], TODAY)[disc.pk].rows[0]
    assert status.remaining == 96
    refused("replaced_before", limit_correct, **of, facts=LimitFacts(97, "count", "Invented chapter 5", "3"))
    replaced = limit_replace(limit=newer, facts=LimitFacts(120, "count", "Invented chapter 5", "4"), by=inspector)
    weighed = LimitFacts(120, "count", "Invented chapter 5, section 2", "4", weight=Decimal(0))
    assert limit_correct(limit=replaced, facts=weighed, why=WHY, by=inspector).source.endswith("section 2")


def test_times_follow_what_a_part_brought(disc: Component) -> None:
    made = component_correct(component=disc, why=WHY, brought_starts=40, opening_basis="Log card 4")
    assert (component_times(made).starts, statuses_of([made], TODAY)[made.pk].used.starts) == (42, 42)
    with pytest.raises(DomainError, match="Nothing is stated otherwise"):
        component_correct(component=disc, why=WHY, brought_starts=40, opening_basis="Log card 4")
    with pytest.raises(DomainError, match="Say where the figures come from"):
        component_correct(component=disc, why=WHY, brought_starts=41, opening_basis=" ")

"""What regulations ask of parts with a limit and of times, each by the number of its requirement."""

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from engines.actions import (
    LimitFacts,
    component_add,
    ledger_correct,
    limit_add,
    limit_replace,
    part_done_add,
    part_fit,
    part_move,
    part_remove,
    part_send,
)
from engines.actions.limits import OVERHAUL_STEPS
from engines.actions.parts import Fitting, Removal
from engines.errors import DomainError
from engines.lives import OVERRUN
from engines.models import Component, Engine, PartLimit, PartMovement
from engines.part_queries import (
    component_for,
    component_times,
    components_on,
    fitted_at,
    limit_for,
    limits_of,
    off_since,
    statuses_of,
)
from engines.queries import engine_times
from engines.times import Times
from logbook.models import Person
from tests.documents import type_document
from tests.factories import STARTED_AT, ComponentFactory, EngineFactory, RunFactory

DAY = datetime.timedelta(days=1)
HOUR = 3600
ALS = {"source": "Invented limitations, chapter 5", "source_revision": "3"}
TODAY = datetime.date(2026, 6, 1)


def refused(code: str, act: Any, *args: Any, **kwargs: Any) -> DomainError:
    """Expect a refusal of that code."""
    with pytest.raises(DomainError) as caught, transaction.atomic():
        act(*args, **kwargs)
    assert caught.value.code == code
    return caught.value


def limit(part: Component, by: Person, amount: int = 100, **more: Any) -> PartLimit:
    """Return a limit of a part, of its life in cycles unless said otherwise."""
    told = {"kind": "life", "parameter": "cycles"} | {
        k: more.pop(k) for k in ("kind", "parameter", "serial") if k in more
    }
    facts = LimitFacts(**({"amount": amount, "unit": "count"} | ALS | more))
    return limit_add(operator=part.operator, part_number=part.part_number, facts=facts, by=by, **told)


def run(engine: Engine, days: float, **used: Any) -> None:
    """Store a run so many days after the first."""
    RunFactory.create(engine=engine, started_at=STARTED_AT + days * DAY, **({"cycles": 1} | used))


@pytest.fixture
def disc(engine: Engine, mechanic: Person) -> Component:
    """Return a disc with a life limit, fitted to the engine."""
    part = ComponentFactory.create(operator=engine.operator, brought_cycles=90)
    limit(part, mechanic)
    part_fit(component=part, engine=engine, position="disc", at=STARTED_AT, by=mechanic)
    return part


def test_r_43_10_a_several_limits_each_with_its_source_and_the_first_reached_governs(
    disc: Component, mechanic: Person, engine: Engine
) -> None:
    limit(disc, mechanic, 5000 * HOUR, parameter="run_time", unit="s")
    limit(disc, mechanic, 240, parameter="calendar", unit="months", serial=disc.serial)
    run(engine, 1, cycles=4, run_time_s=HOUR)
    status = statuses_of([disc], TODAY)[disc.pk]
    assert [(row.parameter, row.source, row.source_revision) for row, _ in status.rows] == [
        (name, *ALS.values()) for name in ("cycles", "run_time", "calendar")
    ]
    assert status.nearest.limit.parameter == "calendar"  # the day it was made is not known
    assert min((s for _, s in status.rows[:2]), key=lambda s: s.share_left).remaining == 6


def test_r_43_10_b_a_temporary_removal_needs_no_method_while_all_three_conditions_hold(
    disc: Component, mechanic: Person, engine: Engine
) -> None:
    part_remove(component=disc, at=STARTED_AT + DAY, by=mechanic, is_temporary=True)
    part_fit(component=disc, engine=engine, at=STARTED_AT + 2 * DAY, by=mechanic)
    assert fitted_at(disc).control == ""


@pytest.mark.parametrize("other_product", [True, False])
def test_r_43_10_b_another_product_or_time_gained_makes_it_none(
    disc: Component, mechanic: Person, engine: Engine, other_product: bool
) -> None:
    part_remove(component=disc, at=STARTED_AT + DAY, by=mechanic, is_temporary=True)
    on = (
        EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
        if other_product
        else engine
    )
    if not other_product:
        run(engine, 1.5)
    fit = {"component": disc, "engine": on, "at": STARTED_AT + 2 * DAY, "by": mechanic}
    assert "control" in refused("control_needed", part_fit, **fit).fields
    assert part_fit(**fit, control=PartMovement.Control.TAG).control == "2"


def test_r_43_10_c_a_removal_asks_for_one_of_the_seven_methods(disc: Component, mechanic: Person) -> None:
    assert PartMovement.Control.values == [str(n) for n in range(1, 8)]
    refused("control_needed", part_remove, component=disc, at=STARTED_AT + DAY, by=mechanic)
    assert fitted_at(disc) is not None
    part_remove(component=disc, at=STARTED_AT + DAY, by=mechanic, control="1")
    assert (fitted_at(disc), off_since(disc).control) == (None, "1")


def test_r_43_10_c_1_life_is_frozen_at_each_removal(disc: Component, mechanic: Person, engine: Engine) -> None:
    run(engine, 0.5, cycles=3)
    part_remove(component=disc, at=STARTED_AT + DAY, by=mechanic, control="1")
    run(engine, 0.6, cycles=2)
    line = off_since(disc)
    assert line.life["used"]["cycles"] == 93
    assert [(row["source"], row["revision"], row["remaining"]) for row in line.life["limits"]] == [(*ALS.values(), "7")]
    assert component_times(disc).cycles == 95


def test_r_43_10_c_5_a_segregated_part_says_where_it_lies(disc: Component, mechanic: Person) -> None:
    part_remove(component=disc, at=STARTED_AT + DAY, by=mechanic, control="5", place="quarantine shelf 2")
    assert off_since(disc).place == "quarantine shelf 2"


def test_r_43_10_c_6_a_mutilated_part_is_fitted_no_more(disc: Component, mechanic: Person, engine: Engine) -> None:
    part_remove(component=disc, at=STARTED_AT + DAY, by=mechanic, control="6")
    refused("mutilated", part_fit, component=disc, engine=engine, at=STARTED_AT + 2 * DAY, by=mechanic)


def test_r_43_10_d_the_method_goes_with_a_part_to_its_next_owner(disc: Component, mechanic: Person) -> None:
    send = {"component": disc, "to": "Farholm Air", "at": STARTED_AT + 3 * DAY, "by": mechanic}
    refused("already_fitted", part_send, **send)
    part_remove(component=disc, at=STARTED_AT + DAY, by=mechanic, is_temporary=True)
    refused("control_needed", part_send, **send)
    refused("text_missing", part_send, **(send | {"to": " "}))
    assert part_send(**send, control="2").life["used"]["cycles"] == 90
    refused("left", part_send, **(send | {"at": STARTED_AT + 4 * DAY}))
    refused("left", part_fit, component=disc, parent=disc, at=STARTED_AT + 4 * DAY, by=mechanic)


def test_r_33_70_a_a_limit_is_only_replaced_by_a_newer_revision(disc: Component, mechanic: Person) -> None:
    (first,) = limits_of(disc)
    higher = LimitFacts(amount=200, unit="count", **ALS)
    refused("revision_same", limit_replace, limit=first, facts=higher, by=mechanic)
    refused("limit_known", limit, disc, mechanic, 200)
    with pytest.raises(TypeError, match="only ever added"):
        first.save()
    newer = LimitFacts(amount=80, unit="count", source=ALS["source"], source_revision="4")
    second = limit_replace(limit=first, facts=newer, by=mechanic)
    assert limits_of(disc) == [second]
    assert (second.key, second.replaces, limit_for(mechanic, first.pk).amount) == (first.key, first, 100)
    refused("replaced_before", limit_replace, limit=first, facts=newer, by=mechanic)
    assert statuses_of([disc], TODAY)[disc.pk].nearest.state == OVERRUN


def test_r_33_7_c_12_cycles_are_counted_for_each_part(disc: Component, mechanic: Person, engine: Engine) -> None:
    spacer = ComponentFactory.create(operator=engine.operator, brought_cycles=5)
    part_fit(component=spacer, engine=engine, position="spacer", at=STARTED_AT + DAY, by=mechanic)
    for n in (0.5, 1.5):
        run(engine, n)
    assert [component_times(part).cycles for part in (disc, spacer)] == [92, 6]


def test_r_33_14_old_partial_cycles_count_by_the_weight_of_the_part(engine: Engine, mechanic: Person) -> None:
    """By hand: 100 starts and 140 flights, weight 0.5: 100 + 40 x 0.5 = 120."""
    parts = [ComponentFactory.create(operator=engine.operator, part_number=f"W-{k}") for k in range(3)]
    for part, weight in zip(parts, ("0.5", "0", "1"), strict=True):
        limit(part, mechanic, 1000, parameter="equivalent_cycles", weight=Decimal(weight))
        part_fit(component=part, engine=engine, position=part.part_number, at=STARTED_AT, by=mechanic)
    run(engine, 1, starts=100, cycles=100, partial_cycles=40)
    found = statuses_of(parts, TODAY)
    assert [found[part.pk].nearest.used for part in parts] == [120, 100, 140]


def test_r_gm305_d_limit_used_and_remaining_of_every_parameter_with_overrun_negative(
    disc: Component, mechanic: Person, engine: Engine
) -> None:
    limit(disc, mechanic, 10 * HOUR, parameter="time_in_service", unit="s", tolerance=HOUR)
    run(engine, 1, cycles=12, time_in_service_s=11 * HOUR)
    rows = statuses_of([disc], TODAY)[disc.pk].rows
    assert [(row.amount, status.used, status.remaining, status.state) for row, status in rows] == [
        (100, 102, -2, "overrun"),
        (10 * HOUR, 11 * HOUR, -HOUR, "tolerated"),
    ]


def test_r_amc305_b1_parts_sit_in_modules_and_other_units_are_counted(engine: Engine, mechanic: Person) -> None:
    module, blade = (ComponentFactory.create(operator=engine.operator, part_number=n) for n in ("M-1", "B-1"))
    part_fit(component=blade, parent=module, position="blades", at=STARTED_AT, by=mechanic)
    run(engine, 0.5)
    part_fit(component=module, engine=engine, position="hot section", at=STARTED_AT + DAY, by=mechanic)
    run(engine, 1.5, other={"landings": 3})
    assert component_times(blade) == component_times(module) == Times(cycles=1, other={"landings": 3})
    assert set(components_on(engine)) == {module, blade}
    part_remove(component=module, at=STARTED_AT + 2 * DAY, by=mechanic)
    run(engine, 2.5)
    assert component_times(blade).cycles == 1
    error = refused("sits_in_itself", part_fit, component=module, parent=blade, at=STARTED_AT + 3 * DAY, by=mechanic)
    assert "in itself" in error.message


def test_r_305_e3_the_ledger_is_only_added_to_and_its_intervals_sum_to_the_status(
    disc: Component, mechanic: Person, engine: Engine
) -> None:
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
    for n in (0.5, 1.5):
        run(engine, n)
        run(other, n)
    at = STARTED_AT + DAY
    part_move(component=disc, removal=Removal(at, control="1"), fitting=Fitting(at, engine=other), by=mechanic)
    assert component_times(disc).cycles == 92
    for act in (PartMovement.objects.all().delete, lambda: PartMovement.objects.update(position="")):
        with pytest.raises(TypeError, match="only ever added"):
            act()
    lines = list(disc.movements.all())
    told = {"kind": "removed", "engine": engine, "at": STARTED_AT + 2 * DAY}
    correct = {"component": disc, "struck": [line.pk for line in lines[1:]], "by": mechanic}
    refused("text_missing", ledger_correct, **correct, reason=" ", lines=[])
    refused("out_of_order", ledger_correct, **correct, reason="Misread", lines=[told | {"engine": other}])
    ledger_correct(**correct, reason="Misread", lines=[told])
    assert component_times(disc).cycles == 92
    assert (disc.movements.count(), str(lines[1].void)) == (4, f"{lines[1]}: struck, Misread")


def test_r_305_c3_an_interval_begins_anew_when_it_was_met(disc: Component, mechanic: Person, engine: Engine) -> None:
    interval = limit(disc, mechanic, 10, kind="inspection")
    run(engine, 0.5, cycles=8)
    met = {"component": disc, "limit": interval, "at": STARTED_AT + DAY, "by": mechanic}
    refused("text_missing", part_done_add, **met, reference=" ")
    done = part_done_add(**met, reference="Manual 72-30, revision 2")
    run(engine, 1.5, cycles=3)
    (_, status) = statuses_of([disc], TODAY)[disc.pk].rows[1]
    assert (status.used, status.remaining, str(done)) == (3, 7, f"{disc}: Inspection interval done 2026-05-05")
    stated = part_done_add(**(met | {"at": STARTED_AT - DAY}), reference="Manual", life={"cycles": 40})
    assert stated.life == {"cycles": 40}


def test_r_43_2_a_an_overhaul_is_one_after_every_step_and_a_test(disc: Component, mechanic: Person) -> None:
    interval = limit(disc, mechanic, 10, kind="overhaul")
    met = {"component": disc, "limit": interval, "at": STARTED_AT, "by": mechanic, "reference": "Manual"}
    error = refused("overhaul_incomplete", part_done_add, **met, steps=["disassembled", "cleaned"])
    assert "inspected, repaired as necessary, reassembled, tested" in error.message
    assert "tested_by" in refused("overhaul_incomplete", part_done_add, **met, steps=OVERHAUL_STEPS).fields
    assert part_done_add(**met, steps=OVERHAUL_STEPS, tested_by="Test cell run 7").tested_by == "Test cell run 7"
    refused("limit_impossible", part_done_add, **(met | {"limit": limits_of(disc)[0]}))
    future = met | {"at": STARTED_AT + 9000 * DAY}
    refused("out_of_order", part_done_add, **future, steps=OVERHAUL_STEPS, tested_by="x")


def test_r_1_1_tis_a_ground_run_adds_starts_and_run_time_not_time_in_service(disc: Component, engine: Engine) -> None:
    run(engine, 1, run_time_s=1200, starts=1)
    assert component_times(disc) == Times(1200, 0, 1, 91)
    assert engine_times(engine).time_in_service_s == 0


def test_r_icao_8_4_hours_calendar_and_cycles_each_as_appropriate(disc: Component, mechanic: Person) -> None:
    part = component_add(
        operator=disc.operator, part_number=disc.part_number, serial="2", made_on=datetime.date(2026, 1, 1)
    )
    limit(part, mechanic, 12, parameter="calendar", unit="months")
    limit(part, mechanic, 9 * HOUR, parameter="run_time", unit="s", kind="overhaul")
    rows = statuses_of([part], TODAY)[part.pk].rows
    assert [(status.limit.parameter, status.remaining) for _, status in rows] == [
        ("cycles", 100),
        ("calendar", 214),
        ("run_time", 9 * HOUR),
    ]


def test_r_43_9c_12_reconstructed_times_say_from_what(engine: Engine) -> None:
    told = {"operator": engine.operator, "part_number": "P-1", "serial": "7", "opening_is_reconstructed": True}
    assert "opening_basis" in refused("text_missing", component_add, **told).fields
    part = component_add(**told, opening_basis="Journey logs of 2019 to 2025", brought_cycles=12)
    assert (part.opening_basis, part.brought.cycles) == ("Journey logs of 2019 to 2025", 12)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"kind": "wish"}, "kind"),
        ({"parameter": "landings"}, "parameter"),
        ({"parameter": "run_time"}, "unit"),
        ({"parameter": "calendar"}, "unit"),
        ({"amount": 0}, "amount"),
        ({"weight": Decimal("0.5")}, "weight"),
        ({"parameter": "equivalent_cycles", "weight": Decimal(-1)}, "weight"),
        ({"source_revision": " "}, "source_revision"),
    ],
)
def test_what_no_limit_can_be_is_refused(engine: Engine, mechanic: Person, changes: Any, field: str) -> None:
    part = ComponentFactory.create(operator=engine.operator)
    code = "source_missing" if field == "source_revision" else "limit_impossible"
    assert field in refused(code, limit, part, mechanic, **({"amount": 5} | changes)).fields


PLACES = [
    {"name": "hot section", "part_numbers": ["M-1"]},
    {"name": "disc", "within": "hot section"},
    {"name": "fuel control"},
]


def test_parts_go_where_the_catalogue_of_the_type_has_a_place(engine: Engine, mechanic: Person) -> None:
    revision = engine.engine_type.revisions.get()
    revision.document = type_document(positions=PLACES)
    revision.save()
    module, disc, other = (ComponentFactory.create(operator=engine.operator, part_number=n) for n in ("M-1", "D", "E"))
    fit = {"engine": engine, "at": STARTED_AT, "by": mechanic}
    assert (
        "hot section, fuel control"
        in refused("position_unknown", part_fit, component=disc, position="disc", **fit).message
    )
    refused("part_unsuited", part_fit, component=disc, position="hot section", **fit)
    part_fit(component=module, position="hot section", **fit)
    refused(
        "position_taken",
        part_fit,
        component=ComponentFactory(operator=engine.operator, part_number="M-1"),
        position="hot section",
        **fit,
    )
    within = {"parent": module, "at": STARTED_AT, "by": mechanic, "position": "disc"}
    refused("position_unknown", part_fit, component=disc, **(within | {"position": "fuel control"}))
    part_fit(component=disc, **within)
    assert set(components_on(engine)) == {module, disc}
    refused("host_missing", part_fit, component=other, at=STARTED_AT, by=mechanic)
    far = EngineFactory.create()
    refused("not_of_operator", part_fit, component=other, engine=far, at=STARTED_AT, by=mechanic)
    refused("out_of_order", part_fit, component=other, engine=engine, at=STARTED_AT + 9000 * DAY, by=mechanic)


def test_a_part_that_never_ran_goes_back_without_a_method(engine: Engine, mechanic: Person) -> None:
    module, disc = (ComponentFactory.create(operator=engine.operator, part_number=n) for n in ("M-1", "D"))
    limit(disc, mechanic)
    part_fit(component=disc, parent=module, at=STARTED_AT, by=mechanic)
    part_remove(component=disc, at=STARTED_AT + DAY, by=mechanic, is_temporary=True)
    part_fit(component=disc, parent=module, at=STARTED_AT + 2 * DAY, by=mechanic)
    assert fitted_at(disc).host.key == module.pk


def test_a_line_has_one_host(engine: Engine, mechanic: Person) -> None:
    part = ComponentFactory.create(operator=engine.operator)
    both = {"engine": engine, "parent": part, "kind": "fitted", "at": STARTED_AT, "recorded_by": mechanic}
    with pytest.raises(IntegrityError), transaction.atomic():
        PartMovement.objects.create(component=part, **both)


def test_what_is_another_operators_is_not_there(disc: Component, stranger: Person) -> None:
    (own,) = limits_of(disc)
    for query, thing in ((component_for, disc), (limit_for, own)):
        with pytest.raises(type(thing).DoesNotExist):  # type: ignore[attr-defined]
            query(stranger, thing.pk)  # type: ignore[operator]

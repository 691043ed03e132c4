"""Every kind of entry there is can be put right on a sheet, or says in words why it is made void instead.

R-COR-1, R-COR-2 and R-COR-3: the walk makes one entry of each kind as people do, and corrects it on the screen.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from django.conf import LazySettings
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import Accomplishment, LimitFacts, limit_add, part_done_add, plan_open, task_add
from engines.actions.owners import Return
from engines.actions.parts import Fitting, Removal
from engines.bulk import PartRow
from engines.evidence import RunFacts
from engines.models import Component, Engine, FirstStartEnd, Run
from engines.standing import standings_of
from inspections.actions import finding_add
from logbook.actions import inspection_sign, run_enter
from logbook.corrections import Correcting, run_voided
from logbook.first_starts import first_start_sign
from logbook.handover.giving import VOID_MEANING, handover_void_sign
from logbook.ledger.checking import ledger_check
from logbook.maintenance.rules import rules_choose
from logbook.models import Entry, Person
from logbook.part_acts import (
    limit_sign,
    part_add_sign,
    part_done_sign,
    part_fit_sign,
    part_remove_sign,
    part_return_sign,
    part_send_sign,
)
from logbook.part_lists import parts_bulk_sign
from logbook.photos.addenda import MEANING, addendum_sign
from logbook.putting_right import FIRST_START, HANDED, HANDED_VOID, RUN_VOID, address_of, way_of
from logbook.statements.coverage import COVERS
from logbook.task_acts import task_sign
from tests.factories import STARTED_AT, EngineFactory
from tests.first_starts import asks_for_first_starts, carried_through
from tests.logbook.due_kit import DIRECTIVE
from tests.logbook.handover.owners import handed, taken
from tests.logbook.maintenance.kit import INSPECTED, METER, OPENING, SAID, certified, opened, signed, today
from tests.logbook.photos.kit import photo_of
from tests.logbook.screen_kit import run_with_inspection, signed_in, words
from tests.logbook.test_screens_corrections import boxes_of, sign
from tests.programmes import selected
from tests.signed import run_signed, signing_of

HOUR = timedelta(hours=1)
WHY = "Read from the wrong line."
INDICATION = [{"channel": "torque", "reads": ["psi"], "full": {"value": 1480, "unit": "lbf*ft"}}]
CALIBRATED = {"channel": "torque", "reads": "psi", "pairs": "0 = 0\n22 = 100", "source": "Invented bench sheet 12"}


@dataclass(frozen=True)
class Cast:
    """Who makes the entries, and of which engine."""

    engine: Engine
    by: Person
    other: Person


Make = Callable[[Cast], Entry]


def ran(cast: Cast) -> Entry:
    facts = RunFacts(Run().pk, "ground_run", STARTED_AT, typed_run_time_s=3600)
    return run_signed(run_enter(engine=cast.engine, facts=facts, by=cast.by), cast.by)


def voided(cast: Cast) -> Entry:
    run = ran(cast).run
    assert run is not None
    return run_voided(run=run, correcting=Correcting(cast.by, WHY, signing_of(cast.by)))


def exceeded(cast: Cast) -> Entry:
    return Entry.objects.get(run=run_with_inspection(cast.engine, cast.by))


def inspected(cast: Cast) -> Entry:
    """Return the entry of an inspection that an exceedance called for, which was not approved."""
    inspection = run_with_inspection(cast.engine, cast.by).inspections.get()
    finding_add(inspection=inspection, text="Blade 3 is burnt", by=cast.by)
    told = {"outcome": "not_approved", "extent": "Borescope", "given_to": "Test Owner"}
    on = STARTED_AT.date()
    return inspection_sign(inspection=inspection, by=cast.by, signing=signing_of(cast.by), completed_on=on, **told)


def added_to(cast: Cast) -> Entry:
    """Return an addendum by which a photo was taken up that came after an inspection was signed."""
    entry = inspected(cast)
    photo_of(cast.by, "inspection", entry.inspection_id, caption="Afterwards")
    return addendum_sign(entry=entry, remarks="Blade 3", by=cast.by, signing=signing_of(cast.by, MEANING))


def of_work(kind: str, **facts: Any) -> Make:
    """Return a way to sign work of a kind."""
    return lambda cast: signed(opened(cast.engine, cast.by, kind, **facts), cast.by)


def calibrated(cast: Cast) -> Entry:
    revision = cast.engine.engine_type.revisions.get()
    revision.document = revision.document | {"calibration": INDICATION}
    revision.save(update_fields=["document"])
    return of_work("calibration", on=today(), **CALIBRATED)(cast)


def entered(cast: Cast) -> Entry:
    brought = {"part_number": "D-1", "serial": "7", "description": "Disc", "opening_basis": "Card", "brought_cycles": 9}
    return part_add_sign(by=cast.by, signing=signing_of(cast.by), **brought)


def part_of(cast: Cast) -> Component:
    """Return a part that was entered."""
    part = entered(cast).component
    assert part is not None
    return part


def fitted(cast: Cast) -> Entry:
    fitting = Fitting(STARTED_AT, cast.engine, position="disc")
    return part_fit_sign(component=part_of(cast), fitting=fitting, by=cast.by, signing=signing_of(cast.by))


def removed(cast: Cast) -> Entry:
    part = fitted(cast).component
    assert part is not None
    off = Removal(STARTED_AT + HOUR, place="bench")
    return part_remove_sign(component=part, removal=off, by=cast.by, signing=signing_of(cast.by))


def sent(cast: Cast) -> Entry:
    told = {"to": "Farholm Air", "at": STARTED_AT, "control": ""}
    return part_send_sign(component=part_of(cast), by=cast.by, signing=signing_of(cast.by), **told)


def came_back(cast: Cast) -> Entry:
    part = sent(cast).component
    assert part is not None
    told = Return(STARTED_AT + HOUR, part.brought, "Farholm Air", "Log card 9")
    return part_return_sign(component=part, told=told, by=cast.by, signing=signing_of(cast.by))


def limited(cast: Cast) -> Entry:
    part, facts = part_of(cast), LimitFacts(100, "count", "Chapter 5", "3")
    told = {"operator": part.operator, "part_number": "D-1", "kind": "life", "parameter": "cycles"}
    limit = limit_add(**told, facts=facts, by=cast.by)
    return limit_sign(component=part, limit=limit, by=cast.by, signing=signing_of(cast.by))


def met(cast: Cast) -> Entry:
    part, facts = part_of(cast), LimitFacts(50, "count", "Chapter 5", "3")
    told = {"operator": part.operator, "part_number": "D-1", "kind": "inspection", "parameter": "cycles"}
    limit = limit_add(**told, facts=facts, by=cast.by)
    done = part_done_add(component=part, limit=limit, at=STARTED_AT, reference="Manual 72-30", by=cast.by)
    return part_done_sign(done=done, by=cast.by, signing=signing_of(cast.by))


def task_done(cast: Cast) -> Entry:
    day = timezone.localdate() - timedelta(days=2)
    task_add(engine=cast.engine, document=DIRECTIVE, begins_on=day, by=cast.by)
    (standing,) = standings_of([cast.engine])[cast.engine.pk]
    said = Accomplishment("done", day, "Eddy current")
    return task_sign(standing=standing, said=said, by=cast.by, signing=signing_of(cast.by))


def listed(cast: Cast) -> Entry:
    """Return the entry of a list of one part."""
    row = PartRow("the file", 2, part_number="D-1", serial="7", description="Disc", basis="Card")
    return parts_bulk_sign(rows=[row], by=cast.by, signing=signing_of(cast.by))


def received(cast: Cast) -> Entry:
    """Return the entry by which this operator received the engine of another."""
    engine = EngineFactory.create(operator=cast.other.operator, serial="TB-0099")
    run_signed(run_enter(engine=engine, facts=RunFacts(Run().pk, "ground_run", STARTED_AT), by=cast.other), cast.other)
    return taken(handed(cast.other, engine=engine)[1], cast.by).entry


def received_part(cast: Cast) -> Entry:
    part = part_of(Cast(cast.engine, cast.other, cast.by))
    return taken(handed(cast.other, component=part)[1], cast.by).entry


def given(cast: Cast) -> Entry:
    ran(cast)
    return handed(cast.by, engine=cast.engine)[0]


def taken_back(cast: Cast) -> Entry:
    return handover_void_sign(entry=given(cast), why=WHY, by=cast.by, signing=signing_of(cast.by, VOID_MEANING))


def first_started(cast: Cast) -> Entry:
    opened_at = timezone.now() - HOUR
    plan = plan_open(engine=asks_for_first_starts(cast.engine), trigger=None, reason="Bled", by=cast.by, at=opened_at)
    plan = carried_through(plan, cast.by)
    end = FirstStartEnd.Outcome.COMPLETED
    return first_start_sign(plan=plan, outcome=end, on=timezone.localdate(), by=cast.by, signing=signing_of(cast.by))


def programme_selected(cast: Cast) -> Entry:
    return selected(cast.engine, cast.by)


# What is signed, how, and what a correction of it states otherwise.
CORRECTED: dict[str, tuple[Make, str, dict[str, str]]] = {
    "a run": (ran, "run", {"remarks": "Seen on the card"}),
    "a run beyond a limit": (exceeded, "exceedance", {"remarks": "Seen on the card"}),
    "an inspection after an exceedance": (inspected, "inspection", {"extent": "Borescope, both stages"}),
    "an inspection": (of_work("inspection", **INSPECTED, completed_on=today()), "inspection", {"extent": "All of it"}),
    "maintenance": (of_work("work", **SAID, completed_on=today()), "work", {"description": "Fuel nozzle 4 changed"}),
    "a change of hour meter": (of_work("meter", **METER), "meter_change", {"old": "812.5"}),
    "a calibration": (calibrated, "calibration", {"pairs": "0 = 0\n22 = 88"}),
    "an opening balance": (of_work("opening", **OPENING), "opening", {"starts": "901"}),
    "an opening balance of a part": (entered, "opening", {"cycles": "19"}),
    "a list of parts": (listed, "opening", {"cycles": "19"}),
    "a received record": (received, "opening", {"basis": "records", "cycles": "19", "document": "Their book"}),
    "a received record of a part": (received_part, "opening", {"cycles": "19"}),
    "a part fitted": (fitted, "part_fitted", {"position": "hub"}),
    "a part removed": (removed, "part_removed", {"place": "shelf 3"}),
    "a part sent": (sent, "part_removed", {"to": "Nearholm Air"}),
    "a part that came back": (came_back, "handover", {"place": "Nearholm Air"}),
    "a limit of a part": (limited, "part_limit", {"amount": "95"}),
    "an interval that was met": (met, "part_done", {"reference": "Manual 72-31"}),
    "an addendum": (added_to, "addendum", {"remarks": "Blade 4"}),
    "an inspection programme": (programme_selected, "programme", {"revision": "5"}),
    "a task": (task_done, "task", {"method": "Borescope"}),
}
VOID_INSTEAD: dict[str, tuple[Make, str, str]] = {
    "a hand-over": (given, "handover", HANDED),
    "a hand-over that is void": (taken_back, "handover", HANDED_VOID),
    "a first-start plan": (first_started, "first_start_plan", FIRST_START),
    "a run that is void": (voided, "run", RUN_VOID),
}


@pytest.fixture
def cast(engine: Engine, director: Person, stranger: Person, settings: LazySettings, tmp_path: Any) -> Cast:
    """Return who signs, under rules that are chosen, and where packages are kept."""
    settings.PACKAGES_DIR = tmp_path / "packages"
    rules_choose(by=director, ruleset="us")
    for person in (director, stranger):
        certified(person, *COVERS)
    return Cast(engine, director, stranger)


def test_the_walk_leaves_no_kind_out() -> None:
    """A new kind of entry fails here until it is corrected on a sheet, or says why it is made void instead."""
    walked = {kind for _, kind, _ in (*CORRECTED.values(), *VOID_INSTEAD.values())}
    assert walked == set(Entry.Kind.values)


@pytest.mark.parametrize("what", CORRECTED)
def test_every_kind_is_corrected_by_an_entry_that_supersedes_it(client: Client, cast: Cast, what: str) -> None:
    """R-ES-13: the old signature is void and stays visible, and the new one is told from it."""
    make, kind, changes = CORRECTED[what]
    entry = make(cast)
    assert entry.kind == kind
    signed_in(client, cast.by)
    detail = reverse("entry_detail", args=[entry.number])
    assert "Correct it" in words(client.get(detail))
    at = address_of(entry, cast.by, way_of(entry)) + ("?part=D-1+7" if what == "a list of parts" else "")
    boxes = boxes_of(client.get(at).content.decode())
    read = client.post(at, boxes | {"why": WHY} | changes)
    assert read.status_code == 200, words(read)
    answer = sign(client, at, read)
    assert answer.status_code == 302, words(answer)
    newer = Entry.objects.get(corrects=entry)
    assert (newer.kind, newer.signed_by, newer.body["correction"]["how"]) == (kind, cast.by, "superseded")
    assert (newer.body["correction"]["why"], newer.body["correction"]["of_hash"]) == (WHY, entry.leaf_hash)
    assert newer.body["correction"]["changes"]
    old, new = words(client.get(detail)), words(client.get(reverse("entry_detail", args=[newer.number])))
    assert f"Superseded by entry {newer.number}" in old and "Correct it" not in old
    assert WHY in new and "Correct it" in new
    assert client.get(reverse("entry_print", args=[newer.number])).content.startswith(b"%PDF-")
    assert ledger_check(cast.engine.operator).size == newer.number


@pytest.mark.parametrize("what", VOID_INSTEAD)
def test_what_has_no_sheet_says_why_where_it_is_read(client: Client, cast: Cast, what: str) -> None:
    make, kind, why = VOID_INSTEAD[what]
    entry = make(cast)
    assert (entry.kind, way_of(entry).words) == (kind, why)
    shown = words(signed_in(client, cast.by).get(reverse("entry_detail", args=[entry.number])))
    assert why in shown and "Correct it" not in shown
    assert ("Make it void" in shown) == (what == "a hand-over")

"""The screens of parts: what is left of a limit, one part followed, and every act read and signed."""

import datetime
from decimal import Decimal

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import LimitFacts, ledger_correct, limit_add, part_fit, part_remove
from engines.actions.owners import part_leave
from engines.models import Component, Engine, PartLimit, PartMovement
from engines.part_queries import component_times, fitted_at, limits_of, off_since
from logbook.models import Entry, Person
from tests.documents import type_document
from tests.factories import STARTED_AT, ComponentFactory, RunFactory
from tests.logbook.screen_kit import act, signed_in, words
from tests.stage_packages import handed_over

DAY = datetime.timedelta(days=1)
PASSWORD = "only for tests"


@pytest.fixture
def disc(engine: Engine, mechanic: Person) -> Component:
    """Return a disc with a life of 100 equivalent cycles, 96 of them used."""
    part: Component = ComponentFactory.create(
        operator=engine.operator, part_number="D-1", serial="7", description="Disc", brought_cycles=90
    )
    facts = LimitFacts(100, "count", "Invented chapter 5", "3", weight=Decimal("0.5"))
    told = {"operator": engine.operator, "part_number": "D-1", "kind": "life", "parameter": "equivalent_cycles"}
    limit_add(**told, facts=facts, by=mechanic)
    part_fit(component=part, engine=engine, position="disc", at=STARTED_AT, by=mechanic)
    RunFactory.create(engine=engine, started_at=STARTED_AT + DAY, cycles=4, partial_cycles=4, run_time_s=3600)
    return part


def test_an_engines_parts_tell_used_and_left(client: Client, engine: Engine, disc: Component, auditor: Person) -> None:
    other = ComponentFactory.create(operator=engine.operator, part_number="X-1", serial="8")
    part_fit(component=other, engine=engine, position="other", at=STARTED_AT, by=auditor)
    page = words(signed_in(client, auditor).get(reverse("part_list", args=[engine.pk])))
    assert "Life limit, equivalent cycles 100, a partial cycle counts 0.5 96 4 Within the limit" in page
    assert "Invented chapter 5, revision 3" in page
    assert "X-1, 8" in page.split("Parts without a limit")[1]


def test_a_part_is_followed_with_the_arithmetic_line_by_line(client: Client, disc: Component, auditor: Person) -> None:
    """By hand: 90 brought; (4 − 0) + (4 − 0) × 0.5 = 6; 96."""
    page = words(signed_in(client, auditor).get(reverse("part_detail", args=[disc.pk])))
    assert "Fitted to engine TB-0001 , disc, since 2026-05-04 07:30" in page
    assert "When its record here began 90" in page
    assert "full cycles: (4 − 0) × 1; partial cycles: (4 − 0) × 0.5 6 96" in page
    assert "Remove it" not in page


def test_all_parts_are_found_by_their_numbers(client: Client, disc: Component, auditor: Person) -> None:
    page = words(signed_in(client, auditor).get(reverse("part_index"), {"serial": "7"}))
    assert "D-1, 7 Disc engine TB-0001, disc" in page
    assert "1 of 1 shown" in page
    assert "None." in words(signed_in(client, auditor).get(reverse("part_index"), {"serial": "nothing"}))


def test_a_part_is_entered_with_its_opening_balance_signed(client: Client, mechanic: Person) -> None:
    signed_in(client, mechanic)
    sent = {"part_number": "N-1", "serial": "1", "run_time": "12.5", "cycles": "9", "basis": "Log card 4"}
    assert act(client, "part_add", [], **sent).status_code == 302
    part = Component.objects.get(part_number="N-1")
    assert (part.brought_run_time_s, part.brought_cycles, part.opening_basis) == (45_000, 9, "Log card 4")
    entry = Entry.objects.get(component=part)
    assert (entry.kind, entry.engine, entry.signed_by) == ("opening", None, mechanic)
    assert ["Used when its record here began", "12.5 h run time, 9 full cycles"] in entry.body["part"]
    for name in ("entry_detail", "entry_print"):
        assert client.get(reverse(name, args=[entry.number])).status_code == 200
    page = words(client.get(reverse("entry_list")))
    assert "Opening balance of N-1 1" in page


def test_removal_of_a_life_limited_part_asks_for_a_method(client: Client, disc: Component, mechanic: Person) -> None:
    signed_in(client, mechanic)
    page = act(client, "part_remove", [disc.pk], at="2026-05-08T10:00")
    assert (page.status_code, fitted_at(disc) is None) == (422, False)
    assert "Choose the method" in words(page)
    sent = {"at": "2026-05-08T10:00", "control": "5", "place": "quarantine shelf"}
    assert act(client, "part_remove", [disc.pk], **sent).status_code == 302
    entry = Entry.objects.get(component=disc, kind="part_removed")
    rows = dict(entry.body["part"])
    assert rows["Control method"].startswith("(5) Segregation")
    assert rows["Life, equivalent cycles"] == "used 96, left 4 of 100; Invented chapter 5, revision 3"
    assert (rows["Removed from"], entry.engine.serial) == ("engine TB-0001", "TB-0001")
    assert "it lies in: quarantine shelf" in words(client.get(reverse("part_detail", args=[disc.pk])))


def test_a_part_is_fitted_and_the_entry_names_engine_and_life(
    client: Client, engine: Engine, disc: Component, mechanic: Person
) -> None:
    part_remove(component=disc, at=STARTED_AT + 2 * DAY, by=mechanic, is_temporary=True)
    RunFactory.create(engine=engine, started_at=STARTED_AT + 2.5 * DAY, cycles=1)
    signed_in(client, mechanic)
    sent = {"host": f"engine:{engine.pk}", "position": "disc", "at": "2026-05-08T10:00"}
    refused = act(client, "part_fit", [disc.pk], **sent)
    assert "choose the control method" in words(refused)
    assert act(client, "part_fit", [disc.pk], **sent, control="2").status_code == 302
    entry = Entry.objects.get(component=disc, kind="part_fitted")
    assert dict(entry.body["part"])["Control method while it was off"].startswith("(2) Tag")


def test_places_of_the_type_are_named_on_the_sheet(client: Client, engine: Engine, mechanic: Person) -> None:
    revision = engine.engine_type.revisions.get()
    places = [{"name": "hot section", "part_numbers": ["M-1"]}, {"name": "disc", "within": "hot section"}]
    revision.document = type_document(positions=places)
    revision.save()
    module, part = (ComponentFactory.create(operator=engine.operator, part_number=n) for n in ("M-1", "D-9"))
    part_fit(component=module, engine=engine, position="hot section", at=STARTED_AT, by=mechanic)
    page = words(signed_in(client, mechanic).get(reverse("part_fit", args=[part.pk])))
    assert "As the type names it: disc (within hot section)." in page
    sent = {"host": f"part:{module.pk}", "position": "disc", "at": "2026-05-05T10:00"}
    assert act(client, "part_fit", [part.pk], **sent).status_code == 302
    entry = Entry.objects.get(component=part)
    assert (entry.engine, dict(entry.body["part"])["Fitted to"]) == (engine, f"part {module}")
    assert f"module {module}" in words(client.get(reverse("part_detail", args=[part.pk])))


def test_a_late_run_shows_that_a_temporary_removal_was_none(
    client: Client, engine: Engine, disc: Component, mechanic: Person
) -> None:
    part_remove(component=disc, at=STARTED_AT + 2 * DAY, by=mechanic, is_temporary=True)
    part_fit(component=disc, engine=engine, position="disc", at=STARTED_AT + 3 * DAY, by=mechanic)
    address = reverse("part_detail", args=[disc.pk])
    assert "gained time" not in words(signed_in(client, mechanic).get(address))
    RunFactory.create(engine=engine, started_at=STARTED_AT + 2.5 * DAY, cycles=1)
    assert "its engine gained time before it came back" in words(client.get(address))


def test_a_wrong_line_is_struck_and_its_entry_superseded(
    client: Client, engine: Engine, disc: Component, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    assert act(client, "part_remove", [disc.pk], at="2026-05-08T10:00", control="1").status_code == 302
    wrong = Entry.objects.get(component=disc, kind="part_removed")
    assert "Say why" in words(act(client, "part_strike", [disc.pk]))
    assert act(client, "part_strike", [disc.pk], reason="Another disc was removed").status_code == 302
    assert fitted_at(disc) is not None
    right = Entry.objects.get(component=disc, corrects=wrong)
    assert dict(right.body["part"])["Why"] == "Another disc was removed"
    assert "struck by" in words(client.get(reverse("part_detail", args=[disc.pk])))
    assert client.get(reverse("entry_print", args=[right.number])).status_code == 200
    fresh = ComponentFactory.create(operator=engine.operator)
    assert client.get(reverse("part_strike", args=[fresh.pk])).status_code == 404


def test_a_part_is_sent_to_another_owner_for_good(client: Client, disc: Component, mechanic: Person) -> None:
    part_remove(component=disc, at=STARTED_AT + 2 * DAY, by=mechanic, control="2")
    signed_in(client, mechanic)
    assert act(client, "part_send", [disc.pk], to="Farholm Air", at="2026-05-08T10:00").status_code == 302
    page = words(client.get(reverse("part_detail", args=[disc.pk])))
    assert "Sent to Farholm Air" in page
    assert "Fit it" not in page
    assert off_since(disc).control == "2"


def test_a_limit_is_replaced_by_a_newer_revision_only(client: Client, disc: Component, inspector: Person) -> None:
    signed_in(client, inspector)
    (old,) = limits_of(disc)
    sent = {"amount": "150", "weight": "0.25", "source": old.source, "source_revision": old.source_revision}
    page = act(client, "limit_replace", [disc.pk, old.pk], **sent)
    assert "only a newer revision replaces it" in words(page)
    assert act(client, "limit_replace", [disc.pk, old.pk], **(sent | {"source_revision": "4"})).status_code == 302
    (new,) = limits_of(disc)
    assert (new.amount, new.replaces) == (150, old)
    entry = Entry.objects.get(kind="part_limit")
    assert dict(entry.body["part"])["Replaces"].startswith("Life limit 100 equivalent cycles")
    told = words(client.get(reverse("limit_detail", args=[disc.pk, old.pk])))
    assert told.index("In force: Life limit 150") < told.index("Replaced: Life limit 100")
    assert client.get(reverse("limit_replace", args=[disc.pk, old.pk])).status_code == 404
    assert client.get(reverse("limit_detail", args=[disc.pk, 10**9])).status_code == 404


def test_an_interval_is_entered_in_hours_and_met_by_an_overhaul(
    client: Client, disc: Component, director: Person
) -> None:
    signed_in(client, director)
    sent = {"kind": "overhaul", "parameter": "run_time", "amount": "10", "tolerance": "0.5", "only_this": "on"}
    sent |= {"source": "Invented chapter 5", "source_revision": "3"}
    assert act(client, "limit_add", [disc.pk], **sent).status_code == 302
    interval = PartLimit.objects.get(kind="overhaul")
    assert (interval.amount, interval.tolerance, interval.serial) == (36_000, 1800, "7")
    done = {"at": "2026-05-04T20:00", "reference": "Manual 72, revision 2", "tested_by": "Test cell run 7"}
    assert "no overhaul until" in words(act(client, "part_done", [disc.pk, interval.pk], **done))
    steps = ["disassembled", "cleaned", "inspected", "repaired", "reassembled", "tested"]
    assert act(client, "part_done", [disc.pk, interval.pk], **done, steps=steps).status_code == 302
    page = words(client.get(reverse("part_detail", args=[disc.pk])))
    assert "When it was last done 0.00 h" in page
    assert "run time: (1.00 h − 0.00 h) 1.00 h 1.00 h" in page
    assert Entry.objects.get(kind="part_done").body["title"] == "D-1 7 overhauled"


def test_a_calendar_limit_is_entered_in_months(client: Client, disc: Component, director: Person) -> None:
    signed_in(client, director)
    sent = {"kind": "inspection", "parameter": "calendar", "amount": "12", "calendar_unit": "months"}
    sent |= {"source": "Invented chapter 5", "source_revision": "3"}
    assert act(client, "limit_add", [disc.pk], **sent).status_code == 302
    page = words(client.get(reverse("part_detail", args=[disc.pk])))
    assert "Not known: the day on which it was made is not recorded" in page
    interval = PartLimit.objects.get(kind="inspection")
    done = {"at": "2026-05-04T20:00", "reference": "Manual 72, revision 2"}
    assert act(client, "part_done", [disc.pk, interval.pk], **done).status_code == 302
    assert "until 2027-05-04" in words(client.get(reverse("part_detail", args=[disc.pk])))
    assert "Give the limit." in words(act(client, "limit_add", [disc.pk], **(sent | {"amount": ""})))


def test_a_struck_line_stays_readable(client: Client, engine: Engine, disc: Component, auditor: Person) -> None:
    line = PartMovement.objects.get(component=disc)
    ledger_correct(component=disc, struck=[line.pk], reason="Misread serial", lines=[], by=auditor)
    page = words(signed_in(client, auditor).get(reverse("part_detail", args=[disc.pk])))
    assert "struck by" in page
    assert "Misread serial" in page


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_prints_are_given(client: Client, engine: Engine, disc: Component, auditor: Person, paper: str) -> None:
    signed_in(client, auditor)
    for address in (reverse("parts_print", args=[engine.pk]), reverse("part_print", args=[disc.pk])):
        response = client.get(address, {"paper": paper})
        assert response["Content-Type"] == "application/pdf"


def test_an_act_of_a_time_to_come_is_refused(client: Client, disc: Component, mechanic: Person) -> None:
    page = act(signed_in(client, mechanic), "part_remove", [disc.pk], at="2096-05-08T10:00", control="1")
    assert "still to come" in words(page)


@pytest.mark.parametrize("name", ["part_detail", "part_fit", "part_remove", "part_send", "part_print", "limit_add"])
def test_another_operators_part_is_not_there(client: Client, disc: Component, stranger: Person, name: str) -> None:
    assert signed_in(client, stranger).get(reverse(name, args=[disc.pk])).status_code == 404


def test_a_part_that_was_sent_away_comes_back_with_what_it_used_there(
    client: Client, engine: Engine, disc: Component, mechanic: Person
) -> None:
    """By hand: 90 brought and (4 - 0) on the engine went; 100 full cycles came back, so 6 were used away."""
    signed_in(client, mechanic)
    part_remove(component=disc, at=STARTED_AT + 2 * DAY, by=mechanic, control="1")
    assert client.get(reverse("part_return", args=[disc.pk])).status_code == 404
    act(client, "part_send", [disc.pk], to="Farholm Air", at="2026-05-07T08:00")
    assert reverse("part_return", args=[disc.pk]) in client.get(reverse("part_detail", args=[disc.pk])).content.decode()
    sent = {
        "place": "Farholm Air", "at": "2026-05-20T08:00", "run_time": "5", "cycles": "100", "partial_cycles": "4",
        "remarks": "Log card 9", "control": "",
    }  # fmt: skip
    sheet = words(client.get(reverse("part_return", args=[disc.pk])))
    for said in ("It went to Farholm Air on 2026-05-07", "It went with 1.0 h.", "It went with 94."):
        assert said in sheet
    assert "A tag, mark or record comes with a life-limited part" in words(
        act(client, "part_return", [disc.pk], **sent)
    )
    less = words(act(client, "part_return", [disc.pk], **sent | {"cycles": "93", "control": "2"}))
    assert "It went with more than that: cycles." in less
    blank = words(act(client, "part_return", [disc.pk], **sent | {"run_time": "", "control": "2"}))
    assert "State what it had used in all by then" in blank
    early = words(act(client, "part_return", [disc.pk], **sent | {"at": "2026-05-06T08:00", "control": "2"}))
    assert "this must come after" in early
    assert act(client, "part_return", [disc.pk], **sent | {"control": "2"}).status_code == 302
    entry = Entry.objects.filter(component=disc).latest("number")
    assert (entry.kind, entry.body["title"]) == ("handover", "D-1 7 came back from another owner")
    assert ["By which record", "Log card 9"] in entry.body["part"]
    assert ["Of that while it was away", "4.0 h run time, 6 full cycles"] in entry.body["part"]
    page = words(client.get(reverse("part_detail", args=[disc.pk])))
    assert "it came back from Farholm Air, 2026-05-20" in page
    # 90 + 4 + 4 * 0.5 + 6 = 102 of 100
    assert "full cycles: (100 − 94) × 1; partial cycles: (4 − 4) × 0.5 6 102" in page
    assert "With Farholm Air, by their record" in page
    assert client.get(reverse("part_print", args=[disc.pk])).content.startswith(b"%PDF-")
    part_fit(component=disc, engine=engine, position="disc", at=STARTED_AT + 20 * DAY, by=mechanic)
    RunFactory.create(engine=engine, started_at=STARTED_AT + 21 * DAY, cycles=1)
    assert component_times(Component.objects.get(pk=disc.pk)).cycles == 101


def test_that_a_part_came_back_is_struck_like_any_line(client: Client, disc: Component, mechanic: Person) -> None:
    signed_in(client, mechanic)
    part_remove(component=disc, at=STARTED_AT + 2 * DAY, by=mechanic, control="1")
    act(client, "part_send", [disc.pk], to="Farholm Air", at="2026-05-07T08:00")
    sent = {"place": "Farholm Air", "at": "2026-05-20T08:00", "run_time": "1", "cycles": "99", "partial_cycles": "4"}
    act(client, "part_return", [disc.pk], **sent, remarks="Log card 9", control="2")
    came = Entry.objects.filter(component=disc).latest("number")
    assert act(client, "part_strike", [disc.pk], reason="Another serial").status_code == 302
    struck = Entry.objects.filter(component=disc).latest("number")
    assert (struck.kind, struck.corrects) == ("handover", came)
    disc.refresh_from_db()
    assert (disc.away, off_since(disc).kind) == ([], "left")


def test_what_went_with_a_record_is_not_struck_by_itself(client: Client, disc: Component, mechanic: Person) -> None:
    with time_machine.travel(timezone.now(), tick=False):
        line = part_leave(component=disc, to="Farholm Air", at=timezone.now(), by=mechanic)
        handed_over(disc.movements.first().engine, mechanic)
    signed_in(client, mechanic)
    refused = words(act(client, "part_strike", [disc.pk], reason="Wrong"))
    assert "It went when a record was handed over, by entry 1; make that void." in refused
    assert off_since(disc) == line

"""Maintenance from its first word to its signed entry (14 CFR 43.5, 43.7, 43.9, 65.87, 91.407, 135.429)."""

import dataclasses
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine
from inspections.models import Inspection
from logbook.maintenance.actions import work_change, work_drop, work_sign
from logbook.maintenance.looks import work_second
from logbook.maintenance.queries import holding
from logbook.maintenance.rows import Work
from logbook.maintenance.rules import rules_choose
from logbook.models import Entry, Person
from logbook.people import Line, authorization_add
from logbook.statements.coverage import AIRFRAME, AUTHORIZATION, CERTIFYING, ENGINEER, POWERPLANT
from logbook.statements.words import STEPS
from tests.logbook.maintenance.kit import AUTHORISED, SAID, certified, opened, sign_on_screen, signed, signing, today
from tests.logbook.printing.reading import pages_of
from tests.logbook.screen_kit import signed_in, words


def test_R_43_9_work_is_written_read_and_signed_on_the_screen(client: Client, engine: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    address = reverse("work_add", args=[engine.pk, "work"])
    assert "What was done" in words(client.get(address))
    sent = SAID | {"completed_on": today(), "performers": "Test Doer\nTest Other", "helpers": "Test Helper"}
    response = client.post(address, sent)
    work = Work.objects.get()
    assert (response.status_code, response["Location"]) == (302, reverse("work_detail", args=[work.pk]))
    page = words(client.get(response["Location"]))
    assert "Fuel nozzle 3 changed" in page and "Test Doer, Test Other" in page
    assert "Stands against signing it" not in page
    response = sign_on_screen(client, work)
    entry = Entry.objects.get()
    assert response["Location"] == reverse("entry_detail", args=[entry.number])
    page = words(client.get(response["Location"]))
    statement = entry.body["release"]["statement"]
    assert "approved for return to service" in statement
    assert statement == entry.body["signed"]["meaning"]
    certificate = mechanic.certificates.get()
    for said in (
        statement,
        "Work performed by Test Doer, Test Other",
        f"{certificate.kind}, number {certificate.number}",
    ):
        assert said in page
    assert entry.kind == "work" and entry.completed_on.isoformat() == today()
    work.refresh_from_db()
    assert (work.state, work.entry) == (Work.State.SIGNED, entry)


def test_it_prints(client: Client, engine: Engine, mechanic: Person) -> None:
    entry = signed(opened(engine, mechanic, measurements="Nozzle flow: 41.2 kg/h, 40 to 43"), mechanic)
    signed_in(client, mechanic)
    text = " ".join(" ".join(pages_of(client.get(reverse("entry_print", args=[entry.number])).content)).split())
    for said in (
        "Kind of entry Maintenance",
        "Fuel nozzle 3 changed",
        "Nozzle flow: 41.2 kg/h, 40 to 43",
        "Released under",
    ):
        assert said in text
    assert f"Date completed {today()}" in text


REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "R_43_9_a_1": ({"description": "", "data_document": ""}, "Describe the work"),
    "R_43_9_a_2": ({"completed_on": ""}, "Give the day"),
    "R_43_9_d": ({"is_major": "yes"}, "needs its form first"),
    "R_43_5_c": ({"limits_changed": True}, "Operating limits or flight data change"),
    "R_43_2_a": ({"description": "Pump overhauled"}, "“Overhauled” may be written only"),
    "R_CRS_4": ({"limitations": ""}, "Limitations to airworthiness"),
    "R_91_407_b": ({"needs_flight_check": True}, "Flight may be affected"),
    "R_135_429_c": ({"is_required_item": True}, "second, different person"),
}


@pytest.mark.parametrize(("changes", "said"), REFUSED.values(), ids=REFUSED)
def test_what_blocks_approval_is_said_and_nothing_is_signed(
    client: Client, engine: Engine, mechanic: Person, changes: dict[str, Any], said: str
) -> None:
    work = opened(engine, mechanic, **changes)
    with pytest.raises(DomainError, match=said) as refused:
        signed(work, mechanic)
    assert refused.value.code == "work_refused"
    signed_in(client, mechanic)
    assert said in words(client.get(reverse("work_detail", args=[work.pk])))
    answer = sign_on_screen(client, work)
    assert answer.status_code == 422 and said in words(answer)
    assert Entry.objects.count() == 0


def test_R_65_81_the_signer_declares_to_have_done_it_before(engine: Engine, mechanic: Person) -> None:
    work = opened(engine, mechanic)
    with pytest.raises(DomainError, match="did such work before"):
        work_sign(work=work, by=mechanic, signing=signing(mechanic))


def test_R_43_9_a_4_no_approval_without_certificate(engine: Engine, mechanic: Person) -> None:
    work = opened(engine, mechanic)
    without = dataclasses.replace(signing(mechanic), certificate=None)
    with pytest.raises(DomainError, match="Choose the certificate"):
        work_sign(work=work, by=mechanic, signing=without, has_done_before=True)


NOT_COVERED: dict[str, tuple[tuple[str, ...], dict[str, Any], str]] = {
    "R_65_87_airframe": ((AIRFRAME,), {}, "does not cover maintenance"),
    "R_65_87_major": ((POWERPLANT,), {"is_major": "yes", "form_reference": "F 7"}, "does not cover a major"),
    "R_43_7_unknown": ((), {}, "is not entered"),
}


@pytest.mark.parametrize("case", NOT_COVERED)
def test_a_signer_whose_certificate_does_not_cover_it_is_refused(
    client: Client, engine: Engine, mechanic: Person, case: str
) -> None:
    covers, changes, said = NOT_COVERED[case]
    certified(mechanic, *covers)
    work = opened(engine, mechanic, **changes)
    with pytest.raises(DomainError, match=said) as refused:
        signed(work, mechanic)
    assert refused.value.code == "certificate_does_not_cover"
    signed_in(client, mechanic)
    assert said in words(sign_on_screen(client, work))


def test_R_65_95_an_inspection_authorization_approves_a_major_repair(engine: Engine, inspector: Person) -> None:
    certified(inspector, AUTHORIZATION)
    entry = signed(opened(engine, inspector, is_major="yes", form_reference="F 7"), inspector)
    assert entry.body["work"]["form_reference"] == "F 7"


def test_R_43_3_d_a_helper_cannot_sign(engine: Engine, mechanic: Person) -> None:
    with pytest.raises(DomainError, match="named as a helper"):
        signed(opened(engine, mechanic, helpers=str(mechanic)), mechanic)


def test_R_135_429_c_the_second_look_is_taken_by_somebody_else(
    client: Client, engine: Engine, mechanic: Person, inspector: Person, director: Person
) -> None:
    work = opened(engine, mechanic, is_required_item=True, performers=str(director))
    for person in (mechanic, director):
        with pytest.raises(DomainError) as refused:
            work_second(work=work, by=person)
        assert refused.value.code == "second_person_needed"
    signed_in(client, inspector)
    assert client.post(reverse("work_second", args=[work.pk])).status_code == 302
    certified(inspector, POWERPLANT)
    work.refresh_from_db()
    with pytest.raises(DomainError, match="had a hand in the work"):
        signed(work, inspector)
    entry = signed(work, mechanic)
    assert entry.body["release"]["second_name"] == str(inspector)


def test_R_135_429_e_the_second_person_stands_on_the_list_where_one_is_kept(
    engine: Engine, mechanic: Person, inspector: Person, director: Person
) -> None:
    work = opened(engine, mechanic, is_required_item=True)
    line = Line("Inspector", "Every required item", timezone.localdate())
    authorization_add(person=director, line=line, by=director)
    with pytest.raises(DomainError) as refused:
        work_second(work=work, by=inspector)
    assert refused.value.code == "not_on_list"
    assert work_second(work=work, by=director).second_by == director


def test_R_65_83_little_recorded_work_is_said_and_hinders_nothing(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    signed(opened(engine, mechanic), mechanic)
    signed_in(client, mechanic)
    work = opened(engine, mechanic)
    assert "recorded here in 1 of the last 24 months" in words(client.get(reverse("work_sign", args=[work.pk])))
    assert sign_on_screen(client, work).status_code == 302
    meter = opened(engine, mechanic, "meter")
    assert "of the last 24 months" not in words(client.get(reverse("work_sign", args=[meter.pk])))


def test_a_second_look_no_longer_counts_when_the_work_is_changed(
    engine: Engine, mechanic: Person, inspector: Person
) -> None:
    work = work_second(work=opened(engine, mechanic, is_required_item=True), by=inspector)
    changed = work_change(work=work, facts=work.facts | {"description": "Other"}, by=mechanic)
    assert changed.second_by is None
    with pytest.raises(DomainError) as refused:
        work_second(work=opened(engine, mechanic), by=inspector)
    assert refused.value.code == "not_required"


def test_R_91_407_a_open_work_holds_the_engine_until_it_is_signed(engine: Engine, mechanic: Person) -> None:
    work = opened(engine, mechanic)
    opened(engine, mechanic, "meter")
    assert holding([engine]) == {engine.pk: [f"Work {work.number}: Maintenance is begun and not signed"]}
    signed(work, mechanic)
    assert holding([engine]) == {engine.pk: []}


def test_work_is_signed_once_and_dropped_with_a_reason(client: Client, engine: Engine, mechanic: Person) -> None:
    work = opened(engine, mechanic)
    signed(work, mechanic)
    with pytest.raises(DomainError) as again:
        signed(work, mechanic)
    other = opened(engine, mechanic)
    with pytest.raises(DomainError) as blank:
        work_drop(work=other, why=" ", by=mechanic)
    assert (again.value.code, blank.value.code) == ("work_closed", "text_missing")
    signed_in(client, mechanic)
    client.post(reverse("work_drop", args=[other.pk]), {"why": "Written twice"})
    assert "Dropped because Written twice" in words(client.get(reverse("work_detail", args=[other.pk])))
    assert "Dropped unsigned" in words(client.get(reverse("work_list") + "?state=all"))
    assert "Dropped unsigned" not in words(client.get(reverse("work_list")))


def test_work_is_written_on(client: Client, engine: Engine, mechanic: Person) -> None:
    work = opened(engine, mechanic)
    signed_in(client, mechanic)
    address = reverse("work_change", args=[work.pk])
    assert "Fuel nozzle 3 changed" in client.get(address).content.decode()
    assert client.post(address, SAID | {"completed_on": "soon"}).status_code == 422
    client.post(address, SAID | {"completed_on": today(), "description": "Nozzle 4 changed"})
    work.refresh_from_db()
    assert work.said("description") == "Nozzle 4 changed"
    assert client.get(reverse("work_add", args=[engine.pk, "party"])).status_code == 404


def test_R_43_2_a_overhaul_begins_time_since_overhaul_only_when_it_is_whole(engine: Engine, mechanic: Person) -> None:
    steps = {"steps": sorted(STEPS), "test_reference": "Invented test 72-00"}
    signed(opened(engine, mechanic, is_overhaul=True, steps=["cleaned"]), mechanic)
    engine.refresh_from_db()
    assert engine.overhauled_on is None
    signed(opened(engine, mechanic, is_overhaul=True, description="Engine overhauled", **steps), mechanic)
    engine.refresh_from_db()
    assert str(engine.overhauled_on) == today()


def test_R_801_b_european_work_is_released_by_certifying_staff(
    engine: Engine, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="easa", organisation="Testholm Repair (invented)", approval="TST.145.1")
    certified(mechanic, CERTIFYING)
    entry = signed(opened(engine, mechanic, work_pack="WP-7"), mechanic)
    statement = entry.body["release"]["statement"]
    for said in ("TST.145.1", "work pack WP-7", "Limitations: none", "ready for release to service"):
        assert said in statement
    with pytest.raises(DomainError, match="does not cover pilot-owner maintenance"):
        signed(opened(engine, mechanic, outcome="pilot_owner"), mechanic)


def test_R_801_c_a_provisional_release_says_what_is_pending(engine: Engine, mechanic: Person, director: Person) -> None:
    rules_choose(by=director, ruleset="easa", organisation="Testholm Repair (invented)", approval="TST.145.1")
    certified(mechanic, CERTIFYING)
    with pytest.raises(DomainError, match="The statement has no what is still to be done") as refused:
        signed(opened(engine, mechanic, outcome="provisional", **AUTHORISED), mechanic)
    assert refused.value.code == "work_refused"
    pending = {"pending": "Nozzle to be looked at", **AUTHORISED}
    entry = signed(opened(engine, mechanic, outcome="provisional", **pending), mechanic)
    assert entry.body["work"]["pending"] == "Nozzle to be looked at"


def test_R_571_10_2_a_condition_of_a_release_stands_until_it_is_met(
    engine: Engine, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="canada")
    certified(mechanic, ENGINEER)
    entry = signed(opened(engine, mechanic, outcome="conditional", pending="a test flight without fault"), mechanic)
    assert "subject to a test flight without fault" in entry.body["release"]["statement"]
    condition = engine.discrepancies.get()
    assert (condition.text, condition.lines.get().state) == ("a test flight without fault", "pending")
    assert holding([engine]) == {engine.pk: []}
    facts = {"description": "Test flight flown without fault", "outcome": "work", "closes": [str(condition.pk)]}
    signed(opened(engine, mechanic, **facts), mechanic)
    assert condition.lines.last().state == "closed"


def test_nothing_is_signed_before_the_rules_are_chosen(client: Client, stranger: Person, engine: Engine) -> None:
    work = opened(engine, stranger)
    signed_in(client, stranger)
    assert "It is not chosen yet under which rules" in words(client.get(reverse("work_detail", args=[work.pk])))
    assert Inspection.objects.count() == 0

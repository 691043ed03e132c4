"""Inspections beside those that exceedances call for, and their discrepancies (14 CFR 43.11, 43.15, 91.405)."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine
from logbook.maintenance.queries import holding
from logbook.maintenance.rows import Discrepancy, Work
from logbook.models import Entry, Person
from logbook.statements.coverage import AUTHORIZATION
from tests.logbook.maintenance.kit import (
    INSPECTED,
    LAMP,
    LEAK,
    certified,
    opened,
    refused,
    sign_on_screen,
    signed,
    today,
)
from tests.logbook.printing.reading import pages_of
from tests.logbook.screen_kit import signed_in, words

INSPECTION = Work.Kind.INSPECTION


def boxes(**facts: Any) -> dict[str, Any]:
    """Return an inspection as its page sends it, with its discrepancies line by line."""
    found = facts.pop("found", [])
    sent = {name: value for name, value in facts.items() if name != "again" and value is not False}
    sent |= {"found-TOTAL_FORMS": str(len(found)), "found-INITIAL_FORMS": "0"}
    for k, line in enumerate(found):
        sent |= {f"found-{k}-{name}": value for name, value in line.items()}
    return sent


def states(engine: Engine) -> dict[str, str]:
    """Return how the discrepancies of an engine stand, by what is wrong."""
    return {d.text: d.lines.last().state for d in engine.discrepancies.all()}


def test_R_43_11_a_an_approved_inspection_is_signed(client: Client, engine: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    address = reverse("work_add", args=[engine.pk, "inspection"])
    assert client.get(address).content.decode().count("<summary>Discrepancy") == 3
    client.post(address, boxes(**INSPECTED | {"completed_on": today()}))
    sign_on_screen(client, Work.objects.get())
    entry = Entry.objects.get()
    statement = entry.body["release"]["statement"]
    assert entry.kind == Entry.Kind.INSPECTION
    for said in ("I certify that engine TB-0001", "100-hour inspection, checklist 7", "airworthy condition"):
        assert said in statement
    text = " ".join(" ".join(pages_of(client.get(reverse("entry_print", args=[entry.number])).content)).split())
    for said in ("Type of inspection 100-hour inspection, checklist 7", "Extent Whole engine", "Discrepancies none"):
        assert said in text


def test_R_43_11_a_5_and_b_1_a_list_is_given_and_nothing_is_approved(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    client.post(reverse("work_add", args=[engine.pk, "inspection"]), boxes(**refused(found=[LEAK, LAMP])))
    work = Work.objects.get()
    sign_on_screen(client, work)
    entry = Entry.objects.get()
    statement = entry.body["release"]["statement"]
    assert f"number {work.number}, dated {today()}, was given to Owner of the test engine" in statement
    assert "not approved for return to service" in statement
    assert states(engine) == {LEAK["text"]: "open", LAMP["text"]: "deferred"}
    page = words(client.get(reverse("discrepancy_list") + f"?engine={engine.pk}"))
    for said in ("Oil leak at the gearbox", "by Invented list, item 7; placarded by Test Placarder, 2026-05-04"):
        assert said in page
    text = " ".join(" ".join(pages_of(client.get(reverse("entry_print", args=[entry.number])).content)).split())
    for said in ("Given to Owner of the test engine", "No leak allowed, invented manual 72-00", f"Dated {today()}"):
        assert said in text
    without = text.replace("ot approved for return to service", "")
    assert "approved for return to service" not in without


REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "R_43_11_a_1": ({"extent": ""}, "Say briefly how far it went"),
    "R_43_11_a_2": ({"hours": "900"}, "another than the log's: say why"),
    "R_43_11_a_3": ({"is_approved": ""}, "Say whether it is approved"),
    "R_43_11_a_4": ({"found": [LEAK]}, "Stands against approval: Oil leak"),
    "R_43_11_a_6": ({"inspection_kind": "progressive", "routine": ""}, "Name this: items inspected as a routine"),
    "R_43_11_a_7": (
        {"inspection_kind": "programme", "programme": ""},
        "Name this: inspection programme and its revision",
    ),
    "R_43_11_b_2": ({"found": [LAMP | {"placard_by": ""}]}, "Say who placarded it"),
    "R_43_15_c": ({"has_checklist": False}, "held to its checklist"),
    "R_135_429_c": ({"is_required_item": True}, "second, different person"),
}


@pytest.mark.parametrize(("changes", "said"), REFUSED.values(), ids=REFUSED)
def test_what_an_inspection_lacks_is_said(engine: Engine, mechanic: Person, changes: dict[str, Any], said: str) -> None:
    with pytest.raises(DomainError, match=said) as answer:
        signed(opened(engine, mechanic, INSPECTION, **changes), mechanic)
    assert answer.value.code == "work_refused"


def test_R_65_95_an_annual_inspection_needs_an_inspection_authorization(engine: Engine, mechanic: Person) -> None:
    work = opened(engine, mechanic, INSPECTION, inspection_kind="annual")
    with pytest.raises(DomainError, match="does not cover an annual inspection"):
        signed(work, mechanic)
    certified(mechanic, AUTHORIZATION)
    assert signed(work, mechanic).body["scheduled"]["inspection_kind"] == "annual"


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        pytest.param(
            {"inspection_kind": "progressive", "routine": "inlet", "detailed": "combustor"},
            "routine inspection of inlet; detailed inspection of combustor",
            id="R_43_11_a_6",
        ),
        pytest.param(
            {"inspection_kind": "programme", "programme": "Invented programme 3, revision 2", "part": "phase 4"},
            "under Invented programme 3, revision 2, phase 4, and that the procedures of that programme",
            id="R_43_11_a_7",
        ),
    ],
)
def test_the_statement_follows_the_kind_of_inspection(
    engine: Engine, mechanic: Person, changes: dict[str, Any], said: str
) -> None:
    certified(mechanic, AUTHORIZATION)
    entry = signed(opened(engine, mechanic, INSPECTION, **changes), mechanic)
    assert said in entry.body["release"]["statement"]


def test_R_43_11_a_2_time_in_service_is_the_logs_or_is_typed_with_a_reason(engine: Engine, mechanic: Person) -> None:
    Engine.objects.filter(pk=engine.pk).update(opening_time_in_service_s=3_600_000)
    of_log = signed(opened(engine, mechanic, INSPECTION), mechanic)
    typed = signed(opened(engine, mechanic, INSPECTION, hours="1002.5", hours_why="Log of 2025 not entered"), mechanic)
    assert of_log.body["scheduled"]["hours_s"] == 3_600_000
    assert typed.body["scheduled"]["hours_s"] == 3_609_000
    assert "at 1002.5 h total time in service" in typed.body["release"]["statement"]


def test_R_91_405_c_what_was_deferred_comes_back_at_the_next_inspection(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    signed(opened(engine, mechanic, INSPECTION, found=[LAMP]), mechanic)
    lamp = Discrepancy.objects.get()
    assert states(engine) == {LAMP["text"]: "deferred"}
    silent = opened(engine, mechanic, INSPECTION)
    with pytest.raises(DomainError, match="Deferred before, so dealt with now: Discrepancy 1: Second oil lamp out"):
        signed(silent, mechanic)
    signed_in(client, mechanic)
    change = reverse("work_change", args=[silent.pk])
    assert "Deferred before: each is dealt with now" in words(client.get(change))
    sent = boxes(**INSPECTED | {"completed_on": today()}) | {f"again{lamp.pk}-answer": "inspected"}
    client.post(change, sent)
    silent.refresh_from_db()
    signed(silent, mechanic)
    assert lamp.lines.last().deferral == LAMP["deferral"]
    answered = {str(lamp.pk): {"answer": "replaced", "words": "Lamp replaced"}}
    entry = signed(opened(engine, mechanic, INSPECTION, again=answered), mechanic)
    assert entry.body["scheduled"]["again"][0]["answer"] == "Replaced"
    assert [line.state for line in lamp.lines.all()] == ["deferred", "deferred", "closed"]


def test_R_91_405_c_what_was_not_dealt_with_is_open(engine: Engine, mechanic: Person) -> None:
    signed(opened(engine, mechanic, INSPECTION, found=[LAMP]), mechanic)
    left = {str(Discrepancy.objects.get().pk): {"answer": "not_done", "words": ""}}
    with pytest.raises(DomainError, match="not dealt with"):
        signed(opened(engine, mechanic, INSPECTION, again=left), mechanic)
    signed(opened(engine, mechanic, INSPECTION, **refused(again=left)), mechanic)
    assert states(engine) == {LAMP["text"]: "open", LEAK["text"]: "open"}


def test_R_91_417_b_3_a_discrepancy_stays_until_work_settles_it(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    signed(opened(engine, mechanic, INSPECTION, **refused()), mechanic)
    leak = Discrepancy.objects.get()
    assert holding([engine]) == {engine.pk: ["Oil leak at the gearbox (discrepancy 1)"]}
    with pytest.raises(DomainError, match="Still open: Discrepancy 1"):
        signed(opened(engine, mechanic, INSPECTION), mechanic)
    with pytest.raises(TypeError):
        leak.delete()
    Work.objects.filter(state="open").update(state="dropped")
    signed_in(client, mechanic)
    assert "Settles these discrepancies" in words(client.get(reverse("work_add", args=[engine.pk, "work"])))
    entry = signed(opened(engine, mechanic, closes=[str(leak.pk)]), mechanic)
    assert entry.body["work"]["closes"] == [{"number": 1, "text": LEAK["text"]}]
    assert states(engine) == {LEAK["text"]: "closed"}
    assert holding([engine]) == {engine.pk: []}
    shown = reverse("discrepancy_list")
    assert "Oil leak" not in words(client.get(shown)) and "Oil leak" in words(client.get(f"{shown}?state=all"))


def test_a_day_that_is_still_to_come_is_refused(engine: Engine, mechanic: Person) -> None:
    tomorrow = (timezone.localdate() + timedelta(days=1)).isoformat()
    with pytest.raises(DomainError, match="still to come"):
        signed(opened(engine, mechanic, INSPECTION, completed_on=tomorrow), mechanic)

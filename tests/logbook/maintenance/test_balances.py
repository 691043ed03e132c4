"""Changes of hour meter, and opening balances with what they rest on (FAA AC 43-9C paragraph 12, 14 CFR 91.421)."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.latest import meter_before
from engines.models import Engine, MeterChange
from engines.queries import engine_times
from logbook.models import Entry, Person
from tests.factories import STARTED_AT, RunFactory
from tests.logbook.maintenance.kit import METER, OPENING, opened, sign_on_screen, signed
from tests.logbook.printing.reading import pages_of
from tests.logbook.screen_kit import signed_in, words


def test_a_change_of_meter_is_an_entry_of_its_own(client: Client, engine: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    sent = METER | {"at": "2026-05-04T10:00", "old": "812.4", "new": "0"}
    response = client.post(reverse("work_add", args=[engine.pk, "meter"]), sent)
    assert response.status_code == 302
    work = engine.work.get()
    assert 'value="2026-05-04T10:00"' in client.get(reverse("work_change", args=[work.pk])).content.decode()
    sign_on_screen(client, work)
    entry = Entry.objects.get()
    assert entry.kind == Entry.Kind.METER_CHANGE
    assert entry.body["meter"]["offset_h"] == "812.4"
    text = " ".join(" ".join(pages_of(client.get(reverse("entry_print", args=[entry.number])).content)).split())
    for said in ("Last reading of the old meter 812.4 h", "To be added to the new meter's readings 812.4 h", "Failed"):
        assert said in text
    assert "It approves nothing for return to service" in text


def test_the_meter_is_held_against_the_new_one_from_then_on(engine: Engine, mechanic: Person) -> None:
    RunFactory.create(engine=engine, started_at=STARTED_AT, typed_meter_h=812.4, recorded_by=mechanic)
    changed = STARTED_AT + timedelta(hours=3)
    signed(opened(engine, mechanic, "meter", at=changed.isoformat()), mechanic)
    before = meter_before(engine, STARTED_AT + timedelta(days=1))
    assert before is not None
    assert (before.hours, before.between_h) == (Decimal("0.00"), 0)
    assert "the meter was changed" in before.said
    earlier = meter_before(engine, STARTED_AT + timedelta(hours=1))
    assert earlier is not None and earlier.hours == Decimal("812.4")
    RunFactory.create(engine=engine, started_at=STARTED_AT + timedelta(days=2), typed_meter_h=None, run_time_s=3600)
    later = meter_before(engine, STARTED_AT + timedelta(days=3))
    assert later is not None and (later.hours, later.between_h) == (Decimal("0.00"), 1)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"old": ""}, "last reading of the meter that was there"),
        ({"why": ""}, "Say why it was changed"),
        ({"at": ""}, "Give the day"),
        ({"at": (timezone.now() + timedelta(days=2)).isoformat()}, "still to come"),
    ],
)
def test_a_change_of_meter_that_lacks_something_is_refused(
    engine: Engine, mechanic: Person, changes: dict[str, str], said: str
) -> None:
    with pytest.raises(DomainError, match=said):
        signed(opened(engine, mechanic, "meter", **changes), mechanic)
    assert MeterChange.objects.count() == 0


def test_an_opening_balance_is_signed_and_counted_from(client: Client, engine: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    assert client.post(reverse("work_add", args=[engine.pk, "opening"]), OPENING).status_code == 302
    work = engine.work.get()
    assert "The engine's earlier records" in words(client.get(reverse("work_detail", args=[work.pk])))
    sign_on_screen(client, work)
    entry, times = Entry.objects.get(), engine_times(Engine.objects.get(pk=engine.pk))
    assert entry.kind == Entry.Kind.OPENING
    assert (times.run_time_s, times.time_in_service_s) == (4_336_200, 3_960_000)
    assert (times.starts, times.cycles) == (900, 880)
    text = " ".join(" ".join(pages_of(client.get(reverse("entry_print", args=[entry.number])).content)).split())
    assert "Rests on The engine's earlier records Run time 1204.5 h" in text


def test_a_new_engine_begins_at_nothing(client: Client, engine: Engine, mechanic: Person) -> None:
    """What is nothing is written as 0, on the screen too, and is no figure that lacks."""
    signed_in(client, mechanic)
    nothing = dict.fromkeys(("run_time_s", "time_in_service_s", "starts", "cycles"), "0")
    new = OPENING | nothing | {"basis": "new"}
    assert client.post(reverse("work_add", args=[engine.pk, "opening"]), new).status_code == 302
    work = engine.work.get()
    assert "Give the figure" not in words(client.get(reverse("work_detail", args=[work.pk])))
    sign_on_screen(client, work)
    assert Entry.objects.get().body["opening"]["used"]["starts"] == 0


def test_a_signed_balance_is_changed_by_a_correction_only(engine: Engine, mechanic: Person) -> None:
    signed(opened(engine, mechanic, "opening"), mechanic)
    with pytest.raises(DomainError, match="signed in entry 1; correct that entry") as refused:
        signed(opened(engine, mechanic, "opening", starts="901"), mechanic)
    assert refused.value.code == "balance_signed"
    assert Engine.objects.get(pk=engine.pk).opening_starts == 900


LACKING: dict[str, tuple[dict[str, Any], str]] = {
    "R_43_9C_12": ({"basis": "reconstructed"}, "how the times were reconstructed"),
    "figure": ({"cycles": ""}, "Give the figure"),
    "R_91_421_used": ({"basis": "zero_time"}, "has used nothing yet"),
    "R_91_421_granter": (
        {"basis": "zero_time", "run_time_s": "0", "time_in_service_s": "0", "starts": "0", "cycles": "0"},
        "Only an engine rebuilt by its manufacturer",
    ),
}


@pytest.mark.parametrize(("changes", "said"), LACKING.values(), ids=LACKING)
def test_an_opening_balance_that_lacks_something_is_refused(
    engine: Engine, mechanic: Person, changes: dict[str, Any], said: str
) -> None:
    with pytest.raises(DomainError, match=said):
        signed(opened(engine, mechanic, "opening", **changes), mechanic)


def test_R_43_9C_12_a_reconstructed_balance_says_so(engine: Engine, mechanic: Person) -> None:
    facts = {"basis": "reconstructed", "basis_text": "From fuel bills", "document": "Signed statement of loss"}
    part = signed(opened(engine, mechanic, "opening", **facts), mechanic).body["opening"]
    assert (part["basis_words"], part["basis_text"]) == ("Reconstructed, as records are lost", "From fuel bills")


def test_R_91_421_zero_time_names_who_granted_it_and_what_it_embodies(engine: Engine, mechanic: Person) -> None:
    zero = dict.fromkeys(("run_time_s", "time_in_service_s", "starts", "cycles"), "0")
    granted = {"granted_by": "agency", "granted_name": "Invented agency", "granted_on": "2026-01-05"}
    lists = {"directives": "TB-AD 1\nTB-AD 2", "bulletins": "none"}
    entry = signed(opened(engine, mechanic, "opening", basis="zero_time", **zero, **granted, **lists), mechanic)
    part = entry.body["opening"]
    assert (part["directives"], part["bulletins"]) == (["TB-AD 1", "TB-AD 2"], [])
    assert entry.completed_on == datetime.fromisoformat(OPENING["on"]).date()

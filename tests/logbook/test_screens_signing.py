"""Read and sign: the text as it will print, the outcome without a default, and the password at that moment."""

import re
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.models import Engine
from inspections import states
from inspections.actions import finding_add, inspection_second, step_answer
from inspections.models import Inspection, Release
from logbook.models import Entry, Person
from tests.logbook.screen_kit import PASSWORD, inspection_opened, signed_in, words


@pytest.fixture
def inspection(engine: Engine, mechanic: Person, client: Client) -> Inspection:
    """Return an inspection, its mechanic signed in."""
    signed_in(client, mechanic)
    return inspection_opened(engine, mechanic)


@pytest.fixture
def ready(inspection: Inspection, mechanic: Person, inspector: Person) -> Inspection:
    """Return the inspection with all its work done and looked at a second time."""
    for step in inspection.steps.all():
        step_answer(step=step, answer="done", reason="", by=mechanic)
    inspection.refresh_from_db()
    return inspection_second(inspection=inspection, by=inspector)


@pytest.fixture
def sheet(mechanic: Person) -> dict[str, Any]:
    """Return a sheet that approves."""
    certificate = mechanic.certificates.get()
    return {
        "outcome": "approved",
        "extent": "Hot section looked at, no fault",
        "completed_on": "2026-05-05",
        "certificate": certificate.pk,
    }


def send(client: Client, inspection: Inspection, sheet: dict[str, Any], **more: str) -> Any:
    """Send the sheet, to read or to sign."""
    return client.post(reverse("inspection_sign", args=[inspection.pk]), sheet | more)


def mark_in(response: Any) -> str:
    """Return the mark of the text that a page gives to read; none where it gives none."""
    found = re.search(r'name="read" value="(\w+)"', response.content.decode())
    return found[1] if found else ""


def sign(client: Client, inspection: Inspection, sheet: dict[str, Any], password: str = PASSWORD) -> Any:
    """Read the text, and sign it as it was read."""
    read = mark_in(send(client, inspection, sheet))
    return send(client, inspection, sheet, stage="sign", password=password, read=read)


def test_the_sheet_says_what_is_missing_and_has_no_default(client: Client, inspection: Inspection) -> None:
    response = client.get(reverse("inspection_sign", args=[inspection.pk]))
    page = words(response)
    assert "Stands against approving it now Step not answered: Look at the turbine blades" in page
    assert "The second look of a required inspection item." in page
    assert " checked" not in response.content.decode()
    assert " selected>Choose a certificate" in response.content.decode()


def test_what_is_read_is_what_is_signed(
    client: Client, ready: Inspection, sheet: dict[str, Any], inspector: Person
) -> None:
    read = words(send(client, ready, sheet))
    assert "Read this. It is the text as it will print" in read
    assert (Release.objects.count(), Entry.objects.filter(kind="inspection").count()) == (0, 0)
    response = sign(client, ready, sheet)
    entry = Entry.objects.get(kind="inspection")
    assert response["Location"] == reverse("entry_detail", args=[entry.number])
    shown = words(client.get(response["Location"]))
    assert f"Signed: entry {entry.number}, " in shown
    for text in (entry.body["release"]["statement"], "Hot section looked at, no fault", str(inspector)):
        assert text in read
        assert text in shown
    ready.refresh_from_db()
    assert ready.state == states.APPROVED
    assert "Serviceable" in words(client.get(reverse("engine_detail", args=[ready.engine_id])))


def test_what_is_another_text_than_was_read_is_read_again(
    client: Client, ready: Inspection, sheet: dict[str, Any]
) -> None:
    read = mark_in(send(client, ready, sheet))
    type(ready).objects.filter(pk=ready.pk).update(cause_text="Nozzle 3 streaked")
    response = send(client, ready, sheet, stage="sign", password=PASSWORD, read=read)
    assert (response.status_code, Release.objects.count()) == (422, 0)
    assert "It has changed since you read it, and nothing was signed." in words(response)
    assert "Nozzle 3 streaked" in words(response)
    assert mark_in(response) not in ("", read)
    assert sign(client, ready, sheet).status_code == 302


def test_what_was_read_may_be_signed_later(client: Client, ready: Inspection, sheet: dict[str, Any]) -> None:
    with time_machine.travel(timezone.now(), tick=False) as clock:
        read = mark_in(send(client, ready, sheet))
        clock.shift(90)
        response = send(client, ready, sheet, stage="sign", password=PASSWORD, read=read)
    assert (response.status_code, Release.objects.count()) == (302, 1)


def test_a_wrong_password_signs_nothing_and_keeps_the_text(
    client: Client, ready: Inspection, sheet: dict[str, Any]
) -> None:
    response = sign(client, ready, sheet, "guess")
    page = words(response)
    assert (response.status_code, Release.objects.count()) == (422, 0)
    assert "That is not the password of your account; nothing was signed." in page
    assert "Read this. It is the text as it will print" in page
    assert 'value="Hot section looked at, no fault"' in response.content.decode()
    assert "guess" not in response.content.decode()


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"outcome": ""}, "Choose how it ends."),
        ({"extent": ""}, "Say briefly what was inspected and done."),
        ({"completed_on": ""}, "Give the day on which the work was completed."),
        ({"completed_on": "2999-01-01"}, "That day is still to come."),
        ({"completed_on": "2026-05-01"}, "The day of completion lies between the run"),
        ({"certificate": ""}, "Choose the certificate by which you sign."),
        ({"outcome": "not_approved"}, "Say who was given the list of discrepancies."),
        ({"outcome": "not_approved", "given_to": "The owner"}, "List at least one discrepancy"),
    ],
)
def test_a_sheet_that_cannot_be_signed_is_refused(
    changes: dict[str, str], says: str, client: Client, ready: Inspection, sheet: dict[str, Any]
) -> None:
    response = send(client, ready, sheet | changes)
    assert (response.status_code, Release.objects.count()) == (422, 0)
    assert says in words(response)
    assert changes.get("extent") == "" or "Hot section looked at, no fault" in words(response)


def test_steps_that_are_not_answered_are_named(client: Client, inspection: Inspection, sheet: dict[str, Any]) -> None:
    response = sign(client, inspection, sheet)
    assert (response.status_code, Release.objects.count()) == (422, 0)
    assert "Not answered yet: Look at the turbine blades; Check the gauge" in words(response)
    assert "second, different person" in words(response)


def test_somebody_elses_certificate_is_no_choice(
    client: Client, ready: Inspection, sheet: dict[str, Any], inspector: Person
) -> None:
    response = send(client, ready, sheet | {"certificate": inspector.certificates.get().pk})
    assert response.status_code == 422
    assert "Select a valid choice." in words(response)


def test_a_certificate_that_was_not_valid_is_refused(
    client: Client, ready: Inspection, sheet: dict[str, Any], mechanic: Person
) -> None:
    mechanic.certificates.update(valid_until="2026-05-04")
    response = send(client, ready, sheet)
    assert response.status_code == 422
    assert "was not valid on 2026-05-05" in words(response)


def test_not_approved_keeps_the_engine_held(
    client: Client, ready: Inspection, sheet: dict[str, Any], mechanic: Person
) -> None:
    finding_add(inspection=ready, text="Crack in the vane ring", by=mechanic)
    refusal = sheet | {"outcome": "not_approved", "given_to": "The owner"}
    response = sign(client, ready, refusal)
    page = words(client.get(response["Location"]))
    assert "has been given to The owner. It is not approved for return to service." in page
    engine = words(client.get(reverse("engine_detail", args=[ready.engine_id])))
    assert "Unserviceable Inspection 1 was not approved: Hot section inspection" in engine


def test_what_is_signed_is_not_signed_again(client: Client, ready: Inspection, sheet: dict[str, Any]) -> None:
    sign(client, ready, sheet)
    assert "It is signed already." in words(client.get(reverse("inspection_sign", args=[ready.pk])))
    response = sign(client, ready, sheet)
    assert (response.status_code, Release.objects.count()) == (422, 1)
    assert "already" in words(response)


def test_a_password_that_is_guessed_at_signs_nothing_for_a_while(
    client: Client, ready: Inspection, sheet: dict[str, Any], mechanic: Person
) -> None:
    with time_machine.travel(timezone.now(), tick=False) as clock:
        signed_in(client, mechanic)
        for _ in range(5):
            refused = sign(client, ready, sheet, "guess")
            assert "That is not the password of your account" in words(refused)
        assert "Too many tries. Wait five minutes" in words(sign(client, ready, sheet))
        assert not Release.objects.exists()
        clock.shift(301)
        sign(client, ready, sheet)
        assert Release.objects.get().inspection == ready

"""A run is no entry until whoever recorded it has read it as it will print, and signed it."""

import io
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.evidence import RunFacts
from engines.models import Engine, Run
from logbook.actions import run_enter, trace_enter
from logbook.models import Entry, Person, Unsigned
from logbook.signing import text_hash
from tests.factories import STARTED_AT
from tests.logbook.screen_kit import PASSWORD, recording_csv, signed_in, words


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a run that its mechanic has recorded and not signed."""
    facts = RunFacts(Run().pk, Run.Kind.GROUND_RUN, STARTED_AT, typed_run_time_s=1440)
    return run_enter(engine=engine, facts=facts, by=mechanic)


def address(run: Run) -> str:
    return reverse("run_sign", args=[run.pk])


def sign(client: Client, run: Run, password: str = PASSWORD, **changes: str) -> Any:
    """Read the text and sign it, as the page in view would send it."""
    page = client.get(address(run)).content.decode()
    sent = dict(re.findall(r'name="(read|certificate)" value="(\w+)"', page))
    return client.post(address(run), sent | {"stage": "sign", "password": password} | changes)


def test_what_is_recorded_is_no_entry_and_says_so(client: Client, run: Run, mechanic: Person) -> None:
    signed_in(client, mechanic)
    assert (Entry.objects.count(), Unsigned.objects.get().run) == (0, run)
    for page in (reverse("run_detail", args=[run.pk]), reverse("unsigned_list")):
        assert address(run) in client.get(page).content.decode()
    assert "Not signed: the ground run of 2026-05-04" in words(
        client.get(reverse("engine_detail", args=[run.engine_id]))
    )


def test_what_is_read_is_signed_with_the_certificate_as_it_stands(client: Client, run: Run, mechanic: Person) -> None:
    text = words(signed_in(client, mechanic).get(address(run)))
    assert "Read this. It is the text as it will print" in text
    assert "I confirm what was run, read and recorded." in text
    response = sign(client, run, device_at="2026-05-04T08:00:00.000Z")
    entry, certificate = Entry.objects.get(), mechanic.certificates.get()
    assert response["Location"] == reverse("entry_detail", args=[1])
    assert "Signed: entry 1, " in words(client.get(response["Location"]))
    signature = entry.body["signed"]
    assert (signature["name"], signature["user_code"]) == (str(mechanic), mechanic.username)
    assert (signature["certificate_kind"], signature["certificate_number"]) == (certificate.kind, certificate.number)
    assert signature["factor"] == "password, given at the moment of signing"
    assert (signature["device_at"], signature["text_sha256"]) == ("2026-05-04T08:00:00+00:00", text_hash(entry.body))
    assert not Unsigned.objects.exists()
    assert "Every run is signed." in words(client.get(reverse("unsigned_list")))


def test_a_wrong_password_signs_nothing(client: Client, run: Run, mechanic: Person) -> None:
    response = sign(signed_in(client, mechanic), run, "guess")
    assert (response.status_code, Entry.objects.count()) == (422, 0)
    assert "That is not the password of your account; nothing was signed." in words(response)
    assert "I confirm what was run, read and recorded." in words(response)


def test_what_was_read_must_be_what_is_signed(client: Client, run: Run, mechanic: Person) -> None:
    signed_in(client, mechanic)
    page = client.get(address(run)).content.decode()
    read = re.findall(r'name="read" value="(\w+)"', page)[0]
    trace_enter(run=run, file=io.BytesIO(recording_csv()), name="late.csv", by=mechanic)
    response = sign(client, run, read=read)
    assert (response.status_code, Entry.objects.count()) == (422, 0)
    assert "It has changed since you read it, and nothing was signed." in words(response)
    assert sign(client, run).status_code == 302


def test_later_evidence_is_signed_in_an_entry_of_its_own(client: Client, run: Run, mechanic: Person) -> None:
    sign(signed_in(client, mechanic), run)
    trace_enter(run=run, file=io.BytesIO(recording_csv()), name="late.csv", by=mechanic)
    assert Unsigned.objects.get().run == run
    sign(client, run)
    assert [len(entry.body["evidence"]) for entry in Entry.objects.order_by("number")] == [0, 1]


def test_only_who_recorded_it_signs_or_the_director(
    client: Client, run: Run, inspector: Person, director: Person, mechanic: Person
) -> None:
    refusal = signed_in(client, inspector).get(address(run))
    assert f"{mechanic} recorded this run and signs it" in words(refusal)
    assert sign(client, run).status_code == 422
    assert sign(signed_in(client, director), run).status_code == 302
    assert Entry.objects.get().body["recorded"]["by"] == str(mechanic)


def test_a_run_is_signed_once_as_it_stands(client: Client, run: Run, mechanic: Person) -> None:
    sign(signed_in(client, mechanic), run)
    again = sign(client, run)
    assert (again.status_code, Entry.objects.count()) == (422, 1)
    assert "This run is signed as it stands." in words(client.get(address(run)))


def test_a_certificate_that_had_ended_does_not_sign(client: Client, run: Run, mechanic: Person) -> None:
    certificate = mechanic.certificates.get()
    certificate.valid_until = STARTED_AT.date().replace(year=2020)
    certificate.save()
    response = sign(signed_in(client, mechanic), run, certificate=str(certificate.pk))
    assert (response.status_code, Entry.objects.count()) == (422, 0)
    assert "was not valid on 2026-05-04" in words(response)


@pytest.mark.parametrize(
    "made_up", ["{}", '{"id": "AA", "rawId": "AA", "type": "public-key", "response": {}}', "no JSON"]
)
def test_an_answer_of_no_passkey_signs_nothing(made_up: str, client: Client, run: Run, mechanic: Person) -> None:
    response = sign(signed_in(client, mechanic), run, "", credential=made_up)
    assert (response.status_code, Entry.objects.count()) == (422, 0)
    assert "That passkey is not one of yours, or took too long; nothing was signed." in words(response)


def test_who_has_no_passkey_is_told_so(client: Client, run: Run, mechanic: Person) -> None:
    response = sign(signed_in(client, mechanic), run, stage="passkey")
    assert "You have no passkey. Add one under My access, or give your password." in words(response)
    assert "Your password, to sign" in words(response)

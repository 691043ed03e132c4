"""A recorder's file that a phone kept: taken once with its receipt, read as the person chose, its verdict compared."""

import hashlib
import json
import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from engines.models import ColumnSetup, Engine, Run
from inspections.queries import judgement_of
from logbook.models import Arrival, Concern, Person
from tests.factories import RunFactory
from tests.logbook.outbox.kit import DOOR, item
from tests.logbook.screen_kit import recording_csv, signed_in
from tests.logbook.test_screens_traces import UNKNOWN

FOUND = {"chart": "ITT, running", "area": "B", "area_possible": "B"}


@pytest.fixture
def phone(client: Client, mechanic: Person) -> Client:
    """Return a client with the mechanic signed in."""
    return signed_in(client, mechanic)


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a run that has arrived without its trace."""
    found: Run = RunFactory.create(engine=engine, recorded_by=mechanic)
    return found


def trace_item(run: Run | str, by: Person, data: bytes, **said: Any) -> dict[str, Any]:
    """Return a trace as a phone keeps it."""
    about = run if isinstance(run, str) else str(run.pk)
    return item(by, kind="trace", about=about, sha256=hashlib.sha256(data).hexdigest(), **said)


def send(client: Client, body: dict[str, Any], data: bytes | None) -> Any:
    """Send an item with its file."""
    form: dict[str, Any] = {"item": json.dumps(body)}
    if data is not None:
        form["file"] = SimpleUploadedFile("card.csv", data)
    return client.post(DOOR, form)


def test_a_trace_gets_a_receipt_and_the_run_its_verdict(phone: Client, run: Run, mechanic: Person) -> None:
    data = recording_csv()
    body = trace_item(run, mechanic, data, verdict={"revision": 1, "excursions": [FOUND], "words": []})
    answer = send(phone, body, data)
    arrival = Arrival.objects.get()
    assert (answer.status_code, answer.json()["id"], answer.json()["receipt"]) == (201, body["id"], arrival.pk)
    assert (answer.json()["differs"], answer.json()["sign"]) == ("", f"/runs/{run.pk}/sign/")
    trace = run.traces.get()
    assert (trace.original_name, trace.original_sha256) == ("card.csv", body["sha256"])
    assert run.inspections.get().rule == "area B"
    assert send(phone, body, data).json() == answer.json()
    assert (run.traces.count(), Arrival.objects.count()) == (1, 1)


def test_where_phone_and_server_differ_both_are_told(phone: Client, run: Run, mechanic: Person) -> None:
    data = recording_csv()
    body = trace_item(run, mechanic, data, verdict={"revision": 7, "excursions": []})
    said = send(phone, body, data).json()["differs"]
    assert said.startswith(
        "The phone, with limits revision 7: nothing. The server, with limits revision 1: ITT, running,"
    )
    concern = Concern.objects.get(kind=Concern.Kind.VERDICT)
    assert (concern.run, concern.text) == (run, said)


def test_a_file_that_is_not_what_is_judged_by_is_not_compared(phone: Client, run: Run, mechanic: Person) -> None:
    data, newer = recording_csv(), recording_csv(peak=600.0)
    for content in (data, newer):
        send(phone, trace_item(run, mechanic, content), content)
    judgement = judgement_of(run)
    assert judgement is not None and judgement.trace == run.traces.get(
        original_sha256=hashlib.sha256(newer).hexdigest()
    )
    answer = send(phone, trace_item(run, mechanic, data, verdict={"revision": 1, "excursions": []}), data)
    assert (answer.status_code, answer.json()["differs"]) == (201, "")


def test_columns_are_read_as_the_person_chose_and_remembered(phone: Client, run: Run, mechanic: Person) -> None:
    data = recording_csv(header=UNKNOWN)
    fields = [["column_time_s", "time_s"], ["column_itt", "T5"], ["unit_itt", "degF"], ["column_n1", "NG"]]
    assert send(phone, trace_item(run, mechanic, data, fields=fields), data).status_code == 201
    highest = run.traces.get().extremes.get(channel="itt", regime="").highest
    assert highest == pytest.approx((770 - 32) / 1.8)
    assert ColumnSetup.objects.filter(header="T5", channel="itt", unit="degF").exists()


@pytest.mark.parametrize("data", [None, b"time_s,itt\n0,1\n"])
def test_a_file_that_arrived_otherwise_is_no_refusal_of_the_item(
    data: bytes | None, phone: Client, run: Run, mechanic: Person
) -> None:
    answer = send(phone, trace_item(run, mechanic, recording_csv()), data)
    assert (answer.status_code, answer.json()["code"]) == (422, "file_damaged")
    assert (run.traces.count(), Arrival.objects.count()) == (0, 0)


def test_a_file_that_cannot_be_read_is_refused_in_the_readers_words(phone: Client, run: Run, mechanic: Person) -> None:
    data = b"\x00\x01\x02\x03" * 300
    answer = send(phone, trace_item(run, mechanic, data), data)
    assert (answer.status_code, answer.json()["code"]) == (422, "trace_unusable")
    assert "neither a text file nor a Parquet file" in answer.json()["detail"]


def test_a_file_that_is_too_large_is_refused(phone: Client, run: Run, mechanic: Person, settings: Any) -> None:
    settings.TRACE_UPLOAD_MAX_BYTES = 10
    data = recording_csv()
    answer = send(phone, trace_item(run, mechanic, data), data)
    assert (answer.status_code, answer.json()["code"]) == (422, "trace_unusable")


def test_a_trace_of_a_run_that_is_not_here_says_so(phone: Client, mechanic: Person) -> None:
    data = recording_csv()
    answer = send(phone, trace_item(str(uuid.uuid4()), mechanic, data), data)
    assert answer.json()["code"] == "record_gone"


@pytest.mark.parametrize("text", ["{", "[" * 100_000])
def test_an_item_that_is_no_json_is_refused(text: str, phone: Client) -> None:
    assert phone.post(DOOR, {"item": text}).status_code == 400

import hashlib
import io
import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, connection
from rest_framework.test import APIClient

from engines.documents import engine_type_read
from engines.models import Engine, Run, RunTrace
from engines.recordings import recording_read
from engines.trace_codec import trace_pack
from inspections.exceedance import judge
from logbook.actions import trace_enter
from logbook.models import Person, Unsigned
from tests.documents import type_document
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import RUNS, problem_of, run_body, trace_csv

HOT = trace_csv(hot_s=20, hot=730.0)


@pytest.fixture
def client(door: Door, mechanic: Person) -> APIClient:
    """Return the mechanic's client."""
    return door(mechanic)


@pytest.fixture
def address(client: APIClient, engine: Engine) -> str:
    """Return where the trace of a recorded run is sent."""
    body = run_body(engine)
    client.post(RUNS, body, format="json")
    return f"{RUNS}{body['id']}/trace/"


def form(text: str, **words: str) -> dict[str, Any]:
    """Return a form with a file in it."""
    return {"file": SimpleUploadedFile("stand.csv", text.encode()), **words}


def test_a_trace_is_kept_and_judged(client: APIClient, address: str) -> None:
    text = HOT.replace("torque", "cabin").replace("0,650.0,", "0,---,", 1)
    response = client.post(address, form(text), format="multipart")
    assert response.status_code == 201, response.content
    answer = response.json()
    assert (answer["original_name"], answer["samples"], answer["duration_s"]) == ("stand.csv", 121, 120.0)
    assert answer["original_sha256"] == hashlib.sha256(text.encode()).hexdigest()
    assert {m["channel"] for m in answer["matches"]} == {"itt", "n1", "oil_press"}
    assert answer["unused"] == ["cabin"]
    assert answer["ignored"] == [{"column": "itt", "cells": 1, "example": "---"}]
    verdict = client.get(answer["verdict"]).json()
    assert [(e["chart"], e["area"]) for e in verdict["excursions"]] == [("ITT, running", "B")]


def test_the_verdict_is_the_one_of_the_computation(client: APIClient, address: str) -> None:
    client.post(address, form(HOT), format="multipart")
    data = engine_type_read(type_document())
    expected = judge(recording_read(io.BytesIO(HOT.encode()), data, name="stand.csv"), data).document()
    answer = client.get(address.replace("trace", "verdict")).json()
    repeats = answer.pop("repeats")
    assert expected.pop("repeats") == "not counted"
    assert answer == json.loads(json.dumps(expected))
    assert [(r["chart"], r["counted"], r["allowed"], r["is_reached"]) for r in repeats] == [
        ("ITT, running", 1, 3, False)
    ]


@pytest.mark.parametrize("media_type", ["text/csv", "text/csv; charset=utf-8", "application/octet-stream"])
def test_the_file_may_be_the_whole_body(media_type: str, client: APIClient, address: str) -> None:
    response = client.generic("POST", address, HOT, content_type=media_type)
    assert response.status_code == 201
    assert response.json()["samples"] == 121


def test_a_plain_body_may_have_a_name(client: APIClient, address: str) -> None:
    response = client.generic(
        "POST", address, HOT, content_type="text/csv", HTTP_CONTENT_DISPOSITION='attachment; filename="stand 3.csv"'
    )
    assert response.json()["original_name"] == "stand 3.csv"


def test_parquet_is_taken_too(client: APIClient, address: str) -> None:
    import pandas

    buffer = io.BytesIO()
    pandas.read_csv(io.StringIO(HOT)).to_parquet(buffer)
    response = client.post(address, buffer.getvalue(), content_type="application/vnd.apache.parquet")
    assert response.status_code == 201, response.content
    assert response.json()["original_name"] == "trace.parquet"


def test_columns_and_units_may_be_said(client: APIClient, address: str) -> None:
    text = trace_csv(hot_s=20, hot=1346.0, header="T5").replace("650.0", "1202.0")
    words = {"columns": '{"itt": "T5"}', "units": '{"itt": "degF"}'}
    answer = client.post(address, form(text, **words), format="multipart").json()
    assert {"header": "T5", "channel": "itt", "unit": "degF"} in answer["matches"]
    excursion = client.get(answer["verdict"]).json()["excursions"][0]
    assert (excursion["peak"], excursion["area"]) == (pytest.approx(730.0), "B")


def test_columns_of_a_plain_body_stand_in_the_query(client: APIClient, address: str) -> None:
    text = trace_csv(header="T5")
    answer = client.generic("POST", f'{address}?columns={{"itt":"T5"}}', text, content_type="text/csv").json()
    assert "T5" in {m["header"] for m in answer["matches"]}


def test_the_same_bytes_again_change_nothing(client: APIClient, address: str, trace_folder: Path) -> None:
    first = client.post(address, form(HOT), format="multipart")
    stored = sorted(trace_folder.rglob("*"))
    again = client.post(address, form(HOT), format="multipart")
    assert (sorted(trace_folder.rglob("*")), any(path.is_file() for path in stored)) == (stored, True)
    assert (first.status_code, again.status_code) == (201, 200)
    assert again.json() == first.json()
    assert (RunTrace.objects.count(), Unsigned.objects.count()) == (1, 1)


def test_a_repeat_keeps_what_was_ignored_of_its_own_file(client: APIClient, address: str) -> None:
    with_words = HOT.replace("0,650.0,", "0,---,", 1)
    first = client.post(address, form(with_words), format="multipart")
    client.post(address, form(HOT), format="multipart")
    again = client.post(address, form(with_words), format="multipart")
    assert (again.status_code, again.json()) == (200, first.json())


def test_the_second_of_two_at_one_moment_is_told_that_the_first_was_kept(
    client: APIClient, address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other request stores the file after this one was let in and before it stores its own."""
    calls: list[Any] = []

    def late(**facts: Any) -> tuple[RunTrace, bool]:
        calls.append(facts)
        found = trace_enter(**facts)
        if len(calls) == 1:
            raise IntegrityError("duplicate key")
        return found

    monkeypatch.setattr("logbook.api.traces.trace_enter", late)
    response = client.post(address, form(HOT), format="multipart")
    assert (response.status_code, len(calls), RunTrace.objects.count()) == (200, 2, 1)
    assert response.json()["original_sha256"] == hashlib.sha256(HOT.encode()).hexdigest()


@pytest.mark.django_db(transaction=True)
def test_two_that_race_are_one_trace(
    door: Door, mechanic: Person, address: str, monkeypatch: pytest.MonkeyPatch, trace_folder: Path
) -> None:
    racers = [door(mechanic), door(mechanic)]
    looked = Barrier(2)

    def packed(recording: Any) -> bytes:
        """Wait until both have looked for the file and found none; only then does either store it."""
        looked.wait(timeout=30)
        return trace_pack(recording)

    def send(racer: APIClient) -> tuple[int, str]:
        try:
            response = racer.post(address, form(HOT), format="multipart")
            return response.status_code, response.content.decode()
        finally:
            connection.close()

    if connection.vendor == "postgresql":
        monkeypatch.setattr("engines.actions.runs.trace_pack", packed)
        with ThreadPoolExecutor(2) as pool:
            answers = list(pool.map(send, racers))
    else:
        # SQLite has one writer at a time, so that there the second always comes after the first.
        answers = [(r.status_code, r.content.decode()) for r in (one.post(address, form(HOT)) for one in racers)]
    assert sorted(status for status, _ in answers) == [200, 201], answers
    assert answers[0][1] == answers[1][1]
    assert (RunTrace.objects.count(), Run.objects.get().judgements.filter(trace__isnull=False).count()) == (1, 1)
    assert len([path for path in trace_folder.rglob("*") if path.is_file()]) == 2


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("time_s,itt\n0,650\n-1,650\n", "backwards"),
        ("a,b\n1,2\n", "time"),
        ("\x00\x01\x02", ""),
    ],
)
def test_a_bad_file_gets_one_sentence_and_leaves_nothing(
    text: str, sentence: str, client: APIClient, address: str, trace_folder: Path
) -> None:
    refusal = problem_of(client.post(address, form(text), format="multipart"), 422)
    assert sentence in refusal["detail"]
    assert refusal["code"] == "trace_unusable"
    assert not RunTrace.objects.exists()
    assert [path for path in trace_folder.rglob("*") if path.is_file()] == []


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ({}, "file"),
        ({"file": "text"}, "file"),
        ({"columns": "["}, "columns"),
        ({"columns": "[1]"}, "columns"),
        ({"units": '{"itt": 5}'}, "units"),
        ({"units": "[" * 100_000}, "units"),
    ],
)
def test_a_wrong_form_is_refused(words: dict[str, str], field: str, client: APIClient, address: str) -> None:
    body = words if field == "file" else form(HOT, **words)
    refusal = problem_of(client.post(address, body, format="multipart"), 400)
    assert list(refusal["fields"]) == [field]


def test_json_is_no_trace(client: APIClient, address: str) -> None:
    assert problem_of(client.post(address, {}, format="json"), 415)["code"] == "unsupported_media_type"


@pytest.mark.parametrize("media_type", ["text/csv", "multipart/form-data; boundary=x"])
def test_a_file_past_all_measure_is_refused(media_type: str, client: APIClient, address: str, settings: Any) -> None:
    settings.TRACE_UPLOAD_MAX_BYTES = 10
    refusal = problem_of(client.generic("POST", address, HOT, content_type=media_type), 413)
    assert refusal["code"] == "too_large"


def test_the_original_comes_back_as_it_was(client: APIClient, hot_run: Run) -> None:
    response: Any = client.get(f"{RUNS}{hot_run.pk}/trace/", HTTP_ACCEPT="text/csv")
    assert response.status_code == 200
    assert b"".join(response.streaming_content).decode() == HOT
    assert response["Content-Disposition"] == 'attachment; filename="trace.csv"'


def test_a_run_without_a_trace_has_none_to_give(client: APIClient, address: str) -> None:
    assert problem_of(client.get(address), 404)["code"] == "not_found"

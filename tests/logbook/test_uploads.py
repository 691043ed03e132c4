"""What may be sent as a file, how large, and how it is given back."""

from typing import Any

import pytest
from django.core.files.storage import storages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from engines.models import Engine, Run, RunTrace
from logbook.actions import trace_enter
from logbook.models import Person
from tests.logbook.screen_kit import recording_csv, recording_file, run_with_inspection, signed_in, words

PAGE = b"<!doctype html><html><body><script>steal()</script></body></html>\n"
NOT_RECORDINGS = {
    "page.html": PAGE,
    "page.csv": PAGE * 40,
    "picture.png": b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(200),
    "drawing.svg": b'<svg xmlns="http://www.w3.org/2000/svg" onload="steal()"></svg>\n',
    "archive.zip": b"PK\x03\x04" + bytes(200),
    "program.exe": b"MZ\x90\x00" + bytes(200),
    "nothing.csv": b"",
}


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a run that has no trace yet."""
    return run_with_inspection(engine, mechanic)


def stored() -> set[str]:
    """Return the names of all files that are kept."""
    names: set[str] = set()
    folders = ["waiting", "original"]
    while folders:
        folder = folders.pop()
        if storages["traces"].exists(folder):
            inner, files = storages["traces"].listdir(folder)
            folders += [f"{folder}/{name}" for name in inner]
            names |= {f"{folder}/{name}" for name in files}
    return names


@pytest.mark.parametrize("name", sorted(NOT_RECORDINGS))
def test_what_is_not_a_recording_is_refused_and_not_kept(name: str, client: Client, run: Run, mechanic: Person) -> None:
    before = stored()
    file = SimpleUploadedFile(name, NOT_RECORDINGS[name], content_type="text/csv")
    response = signed_in(client, mechanic).post(reverse("trace_add", args=[run.pk]), {"file": file})
    assert response.status_code == 422
    body = NOT_RECORDINGS[name]
    sent = client.post(f"/api/v1/runs/{run.pk}/trace/", body, content_type="text/csv")
    assert sent.status_code in (400, 422)
    assert stored() == before
    assert not RunTrace.objects.exists()


def test_a_file_that_is_too_large_is_refused_by_every_way_in(
    client: Client, run: Run, engine: Engine, mechanic: Person, settings: Any
) -> None:
    settings.TRACE_UPLOAD_MAX_BYTES = len(recording_csv()) - 1
    before = stored()
    signed_in(client, mechanic)
    response = client.post(reverse("trace_add", args=[run.pk]), {"file": recording_file()})
    assert (response.status_code, "The file is larger than" in words(response)) == (422, True)
    sent = client.post(f"/api/v1/runs/{run.pk}/trace/", recording_csv(), content_type="text/csv")
    assert sent.status_code == 413
    sent = client.post(f"/api/v1/runs/{run.pk}/trace/", {"file": recording_file()})
    assert sent.status_code == 413
    assert stored() == before


def test_a_document_that_is_too_large_is_refused(client: Client, engine: Engine, director: Person) -> None:
    sheet = {
        "source": "s",
        "in_force_from": "2026-06-01",
        "file": SimpleUploadedFile("t.json", b"{" + b" " * 2_000_000),
    }
    address = reverse("limits_enter", args=[engine.engine_type_id])
    response = signed_in(client, director).post(address, sheet)
    assert (response.status_code, "more than 2000000" in words(response)) == (422, True)


def test_a_body_that_is_too_large_is_refused(client: Client, mechanic: Person, settings: Any) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100
    response = signed_in(client, mechanic).post("/api/v1/runs/", " " * 101, content_type="application/json")
    assert response.status_code == 413


@pytest.mark.parametrize("name", ["run.csv", "page.html", "drawing.svg", 'a"; filename="x.html', "ünïcode.csv"])
def test_a_recording_is_given_back_only_as_a_file_to_keep(
    name: str, client: Client, run: Run, mechanic: Person
) -> None:
    trace_enter(run=run, file=recording_file(), name=name, by=mechanic)
    address = f"/api/v1/runs/{run.pk}/trace/"
    response: Any = signed_in(client, mechanic).get(address, headers={"Accept": "text/html"})
    assert b"".join(response.streaming_content) == recording_csv()
    assert response["Content-Type"] == "application/octet-stream"
    assert response["Content-Disposition"].startswith("attachment;")
    assert response["X-Content-Type-Options"] == "nosniff"

"""Photos of a phone's outbox: after their words, once, and whole or not at all."""

import json
from hashlib import sha256
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from engines.models import Engine
from inspections.models import Finding, Inspection
from logbook.models import Arrival, Concern, Person, Photo
from tests.logbook.outbox.kit import DOOR, item, run_item, sent
from tests.logbook.photos.pictures import camera_jpeg
from tests.logbook.screen_kit import inspection_opened, signed_in


@pytest.fixture
def phone(client: Client, mechanic: Person) -> Client:
    """Return a phone on which the mechanic is signed in."""
    return signed_in(client, mechanic)


@pytest.fixture
def inspection(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection that a signed run called for."""
    return inspection_opened(engine, mechanic)


def photo_item(by: Person, about: str, data: bytes, **said: Any) -> dict[str, Any]:
    """Return a photo as a phone keeps it, without its file."""
    fields = [["caption", "Seal, aft"]]
    return item(by, **{"kind": "photo", "about": about, "fields": fields, "sha256": sha256(data).hexdigest(), **said})


def handed_over(phone: Client, body: dict[str, Any], data: bytes) -> Any:
    """Send a photo with its file."""
    file = SimpleUploadedFile("photo.jpg", data, content_type="image/jpeg")
    return phone.post(DOOR, {"item": json.dumps(body), "file": file})


def test_a_photo_is_taken_once_with_a_receipt(phone: Client, inspection: Inspection, mechanic: Person) -> None:
    data = camera_jpeg()
    body = photo_item(mechanic, f"step/{inspection.steps.get(position=1).pk}", data)
    first, again = handed_over(phone, body, data), handed_over(phone, body, data)
    photo, arrival = Photo.objects.get(), Arrival.objects.get()
    assert (first.status_code, again.status_code, first.json()) == (201, 200, again.json())
    assert (first.json()["id"], first.json()["receipt"]) == (body["id"], arrival.pk)
    assert (first.json()["words"], first.json()["link"]) == ("The photo is received.", f"/photos/{photo.pk}/")
    assert (str(photo.pk), photo.of, photo.caption) == (body["id"], "step 1", "Seal, aft")
    assert (photo.kept_at, photo.kept_offset_min) == (arrival.kept_at, 120)


def test_a_photo_finds_what_its_words_became(
    phone: Client, engine: Engine, inspection: Inspection, mechanic: Person
) -> None:
    data, run = camera_jpeg(), run_item(engine, mechanic)
    found = item(mechanic, kind="finding", about=str(inspection.pk), fields=[["finding-text", "Nick in a blade"]])
    for words in (run, found):
        early = handed_over(phone, photo_item(mechanic, f"item/{words['id']}", data), data)
        assert (early.status_code, early.json()["code"]) == (422, "record_gone")
        assert sent(phone, words).status_code == 201
        assert handed_over(phone, photo_item(mechanic, f"item/{words['id']}", data), data).status_code == 201
    assert {photo.finding for photo in Photo.objects.exclude(finding=None)} == {Finding.objects.get()}
    assert str(Photo.objects.exclude(run=None).get().run_id) == run["id"]


@pytest.mark.parametrize("about", ["", "step", "engine/1", "run/x", "item/x", "finding/0"])
def test_a_photo_of_nothing_is_refused(about: str, phone: Client, mechanic: Person) -> None:
    data = camera_jpeg()
    answer = handed_over(phone, photo_item(mechanic, about or "-", data), data)
    assert (answer.status_code, answer.json()["code"]) == (422, "record_gone")


def test_a_file_that_did_not_arrive_whole_is_sent_again(
    phone: Client, inspection: Inspection, mechanic: Person
) -> None:
    data = camera_jpeg()
    body = photo_item(mechanic, f"inspection/{inspection.pk}", data)
    for answer in (handed_over(phone, body, data[:-1]), sent(phone, body)):
        assert (answer.status_code, answer.json()["code"]) == (422, "file_damaged")
    assert not Photo.objects.exists()
    assert handed_over(phone, body, data).status_code == 201


def test_what_is_too_large_or_no_picture_is_refused(
    phone: Client, inspection: Inspection, mechanic: Person, settings: Any
) -> None:
    about = f"inspection/{inspection.pk}"
    answer = handed_over(phone, photo_item(mechanic, about, b"<html>"), b"<html>")
    assert (answer.status_code, answer.json()["code"]) == (422, "photo_unusable")
    data = camera_jpeg()
    settings.PHOTO_UPLOAD_MAX_BYTES = len(data) - 1
    answer = handed_over(phone, photo_item(mechanic, about, data), data)
    assert (answer.status_code, answer.json()["code"]) == (422, "photo_unusable")


def test_a_photo_after_closing_is_kept_and_put_to_the_director(
    phone: Client, inspection: Inspection, mechanic: Person, closed: Any
) -> None:
    closed(inspection)
    data = camera_jpeg()
    assert handed_over(phone, photo_item(mechanic, f"inspection/{inspection.pk}", data), data).status_code == 201
    assert Concern.objects.get(kind=Concern.Kind.KEPT_LATE).about == f"Inspection {inspection.number}"
    assert Photo.objects.get().inspection == inspection

"""Photos through REST: sent once, listed, given back as pictures."""

from hashlib import sha256
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from rest_framework.test import APIClient

from inspections.models import Inspection
from logbook.models import Person, Photo
from tests.logbook.api.kit import API
from tests.logbook.photos.kit import photo_of
from tests.logbook.photos.pictures import camera_jpeg, opened
from tests.logbook.screen_kit import inspection_opened

PHOTOS = f"{API}photos/"


@pytest.fixture
def inspection(engine: Any, mechanic: Person) -> Inspection:
    """Return an inspection that a signed run called for."""
    return inspection_opened(engine, mechanic)


@pytest.fixture
def client(mechanic: Person) -> APIClient:
    """Return a client with the mechanic behind it."""
    found = APIClient()
    found.force_authenticate(mechanic)
    return found


def sent(client: APIClient, about: str, data: bytes = b"", **said: Any) -> Any:
    """Send a photo."""
    file = SimpleUploadedFile("a.jpg", data or camera_jpeg())
    return client.post(PHOTOS, {"about": about, "file": file, **said}, format="multipart")


def test_a_photo_is_kept_once_however_often_it_is_sent(client: APIClient, inspection: Inspection) -> None:
    number, data = str(uuid4()), camera_jpeg()
    said = {"id": number, "caption": "Seal", "kept_at": "2026-05-04T09:30:00+02:00", "kept_offset_min": 120}
    first = sent(client, f"inspection/{inspection.pk}", data, **said)
    again = sent(client, f"inspection/{inspection.pk}", data, **said)
    assert (first.status_code, again.status_code, first.json()) == (201, 200, again.json())
    told = first.json()
    assert (told["id"], told["sent_sha256"]) == (number, sha256(data).hexdigest())
    assert (told["of"], told["caption"], told["kept_at"]) == ("the inspection", "Seal", "2026-05-04T07:30:00Z")
    other = sent(client, f"run/{inspection.run_id}", data, **said)
    assert (other.status_code, other.json()["code"]) == (422, "id_used_with_other_body")
    assert Photo.objects.count() == 1


def test_photos_are_listed_and_given_back(client: APIClient, inspection: Inspection, mechanic: Person) -> None:
    photo = photo_of(mechanic, "inspection", inspection.pk)
    photo_of(mechanic, "run", inspection.run_id)
    assert client.get(PHOTOS).json()["count"] == 2
    for asked in (f"inspection={inspection.pk}", f"run={inspection.run_id}"):
        assert client.get(f"{PHOTOS}?{asked}").json()["count"] == 1
    assert client.get(f"{PHOTOS}?work=1").json()["count"] == 0
    assert client.get(f"{PHOTOS}{photo.pk}/").json()["sha256"] == photo.sha256
    for part in ("file", "preview"):
        response = client.get(f"{PHOTOS}{photo.pk}/{part}/", HTTP_ACCEPT="text/html")
        assert (response["Content-Type"], response["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
        assert opened(response.content).format == "JPEG"


@pytest.mark.parametrize(
    ("said", "status", "code"),
    [
        ({"about": "nothing"}, 400, "invalid"),
        ({"about": "engine/1"}, 404, "not_found"),
        ({"about": "inspection/0"}, 404, "not_found"),
        ({"data": b"GIF89a"}, 422, "photo_unusable"),
        ({"kept_at": "0001-01-01T00:00:00Z"}, 400, "invalid"),
        ({"caption": "a\0b"}, 400, "invalid"),
    ],
)
def test_what_is_not_taken_is_refused_in_words(
    said: dict[str, Any], status: int, code: str, client: APIClient, inspection: Inspection
) -> None:
    answer = sent(client, **{"about": f"inspection/{inspection.pk}", **said})
    assert (answer.status_code, answer.json()["code"], Photo.objects.count()) == (status, code, 0)


def test_another_operators_photos_are_not_there(inspection: Inspection, mechanic: Person, stranger: Person) -> None:
    photo = photo_of(mechanic, "run", inspection.run_id)
    client = APIClient()
    client.force_authenticate(stranger)
    assert client.get(PHOTOS).json()["count"] == 0
    for part in ("", "file/", "preview/"):
        assert client.get(f"{PHOTOS}{photo.pk}/{part}").status_code == 404
    assert sent(client, f"run/{inspection.run_id}").status_code == 404

"""Photos on the screens: added with and without a script, seen with their words, given back as pictures only."""

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from inspections import actions
from inspections.models import Inspection
from logbook.maintenance.actions import work_open
from logbook.models import Person, Photo
from tests.logbook.photos.kit import photo_of
from tests.logbook.photos.pictures import camera_jpeg, opened
from tests.logbook.screen_kit import signed_in, words


def sheet(about: str, data: bytes = b"", **changes: Any) -> dict[str, Any]:
    """Return a photo as a browser sends it."""
    file = SimpleUploadedFile("IMG_0001.jpg", data or camera_jpeg((640, 480)), content_type="image/jpeg")
    return {"photo-about": about, "photo-file": file, "photo-caption": "Seal, aft", **changes}


@pytest.mark.parametrize("thing", ["run", "inspection", "step", "work"])
def test_a_photo_is_added_and_stands_on_the_screen_of_what_it_is_of(
    thing: str, client: Client, inspection: Inspection, mechanic: Person
) -> None:
    work = work_open(engine=inspection.engine, kind="work", facts={}, by=mechanic)
    step = inspection.steps.get(position=1)
    keys = {"run": inspection.run_id, "inspection": inspection.pk, "step": step.pk, "work": work.pk}
    address = reverse("photo_new", args=[thing, keys[thing]])
    assert "Add a photo" in words(signed_in(client, mechanic).get(address))
    response = client.post(address, sheet(f"{thing}/{keys[thing]}"), follow=True)
    seen = words(response)
    assert ("The photo is added." in seen, "Seal, aft" in seen, f"{mechanic}, " in seen) == (True, True, True)
    photo = Photo.objects.get()
    page = response.content.decode()
    assert reverse("photo_preview", args=[photo.pk]) in page
    assert 'alt="Seal, aft.' in page


def test_the_sheet_of_an_inspection_offers_all_that_a_photo_can_be_of(
    client: Client, inspection: Inspection, mechanic: Person
) -> None:
    finding = actions.finding_add(inspection=inspection, text="Nick in a blade", by=mechanic)
    page = signed_in(client, mechanic).get(reverse("inspection_detail", args=[inspection.pk])).content.decode()
    for about in (f"inspection/{inspection.pk}", f"step/{inspection.steps.first().pk}", f"finding/{finding.pk}"):  # type: ignore[union-attr]
        assert f'<option value="{about}"' in page
    client.post(reverse("photo_new", args=["inspection", inspection.pk]), sheet(f"finding/{finding.pk}"))
    assert Photo.objects.get().finding == finding


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"photo-file": ""}, "Take a photo first, or choose a picture."),
        ({"data": b"<html>"}, "This is no picture that can be read."),
        ({"about": "step/0"}, "Select a valid choice"),
    ],
)
def test_what_is_not_taken_is_said_beside_its_box(
    changes: dict[str, Any], said: str, client: Client, inspection: Inspection, mechanic: Person
) -> None:
    about = changes.pop("about", f"inspection/{inspection.pk}")
    body = sheet(about, changes.pop("data", b""), **changes)
    response = signed_in(client, mechanic).post(reverse("photo_new", args=["inspection", inspection.pk]), body)
    assert (response.status_code, said in words(response), Photo.objects.count()) == (422, True, 0)


def test_a_photo_that_is_too_large_is_refused_by_every_way_in(
    client: Client, inspection: Inspection, mechanic: Person, settings: Any
) -> None:
    settings.PHOTO_UPLOAD_MAX_BYTES = len(camera_jpeg((640, 480))) - 1
    about = f"run/{inspection.run_id}"
    response = signed_in(client, mechanic).post(
        reverse("photo_new", args=["run", inspection.run_id]),
        sheet(about),
    )
    assert (response.status_code, "The photo is larger than" in words(response)) == (422, True)
    file = SimpleUploadedFile("a.jpg", camera_jpeg((640, 480)))
    sent = client.post("/api/v1/photos/", {"about": about, "file": file})
    assert (sent.status_code, sent.json()["code"]) == (413, "too_large")
    settings.PHOTO_UPLOAD_MAX_BYTES = -70_000
    file.seek(0)
    assert client.post("/api/v1/photos/", {"about": about, "file": file}).status_code == 413
    assert not Photo.objects.exists()


def test_a_photo_is_shown_whole_with_who_and_when_and_its_hash(
    client: Client, inspection: Inspection, mechanic: Person
) -> None:
    photo = photo_of(mechanic, "inspection", inspection.pk, caption="<b>Seal</b>", kept_at=inspection.opened_at)
    response = signed_in(client, mechanic).get(reverse("photo_detail", args=[photo.pk]))
    seen = words(response)
    for said in (
        photo.sha256,
        str(mechanic),
        "<b>Seal</b>",
        "64 × 48 pixels",
        "by the phone's clock",
        "None: it is no part",
    ):
        assert said in seen


@pytest.mark.parametrize("name", ["photo_file", "photo_preview"])
def test_a_photo_is_given_as_a_picture_and_as_nothing_else(
    name: str, client: Client, inspection: Inspection, mechanic: Person, stranger: Person
) -> None:
    photo = photo_of(mechanic, "run", inspection.run_id)
    address = reverse(name, args=[photo.pk])
    response = signed_in(client, mechanic).get(address, headers={"Accept": "text/html"})
    assert opened(response.content).format == "JPEG"
    assert response["Content-Type"] == "image/jpeg"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Content-Disposition"].startswith("inline; filename=")
    assert response["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert client.get(f"{address}?keep=1")["Content-Disposition"].startswith(
        "attachment" if name == "photo_file" else "inline"
    )
    assert signed_in(client, stranger).get(address).status_code == 404


def test_a_file_that_is_gone_is_not_found(client: Client, inspection: Inspection, mechanic: Person) -> None:
    photo = photo_of(mechanic, "run", inspection.run_id)
    photo.file.storage.delete(str(photo.file.name))
    assert signed_in(client, mechanic).get(reverse("photo_file", args=[photo.pk])).status_code == 404


def test_who_only_reads_is_shown_no_sheet(client: Client, inspection: Inspection, auditor: Person) -> None:
    for name, key in (("run_detail", inspection.run_id), ("inspection_detail", inspection.pk)):
        page = signed_in(client, auditor).get(reverse(name, args=[key]))
        assert ("Photos" in words(page), "Add a photo" in words(page)) == (True, False)
    assert client.get(reverse("photo_new", args=["run", inspection.run_id])).status_code == 403

"""Photos taken without signal: made small on the phone, kept, and sent after the words that they belong to."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from engines.models import Engine, Run
from inspections.actions import inspection_assign
from inspections.models import Finding, Inspection
from logbook.models import Arrival, Person, Photo
from tests.browser.phone.kit import ROWS, Phone
from tests.harness.waits import answer
from tests.logbook.photos.pictures import PLACE_WORDS, camera_jpeg, opened
from tests.logbook.screen_kit import inspection_opened

KEPT_BYTES = """async () => {
  const asked = indexedDB.open("embermark");
  const base = await new Promise((done) => { asked.onsuccess = () => done(asked.result); });
  const all = base.transaction("outbox").objectStore("outbox").getAll();
  const rows = await new Promise((done) => { all.onsuccess = () => done(all.result); });
  base.close();
  return rows.filter(({ file }) => file).map(({ file }) => [...new Uint8Array(file.bytes)]);
}"""
DOOR = "**/api/v1/outbox/"


@pytest.fixture
def job(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection in the mechanic's hands."""
    return inspection_assign(inspection=inspection_opened(engine, mechanic), to=mechanic, by=mechanic)


@pytest.fixture
def shot(tmp_path: Path) -> Path:
    """Return a large picture as a phone's camera makes it, held upright, with its place in it."""
    path = tmp_path / "IMG_0001.jpg"
    path.write_bytes(camera_jpeg((3000, 2250), orientation=6))
    return path


def carries_photo(route: Any) -> bool:
    """Return whether a request hands over a photo."""
    return b'"kind":"photo"' in (route.request.post_data_buffer or b"")


def add(page: Page, shot: Path, caption: str, about: str = "") -> None:
    """Fill the sheet for a photo that stands on a page, and send it."""
    page.get_by_text("Add a photo").first.click()
    sheet = page.locator("form[data-outbox=photo]").first
    if about:
        sheet.get_by_label("Of what").select_option(about)
    sheet.get_by_label("Take a photo").set_input_files(shot)
    sheet.get_by_label("What it shows").fill(caption)
    sheet.get_by_role("button", name="Add the photo").click()


def test_a_photo_of_a_step_is_kept_small_and_without_its_place_and_sent_when_the_signal_is_back(
    phone: Phone, job: Inspection, mechanic: Person, shot: Path
) -> None:
    address = f"/inspections/{job.pk}/"
    phone.stock(mechanic, address)
    phone.cut()
    page = phone.go(address)
    step = job.steps.get(position=1)
    add(page, shot, "Seal, aft", f"step/{step.pk}")
    kept = page.locator("[data-photos-kept]")
    expect(kept).to_contain_text(f"Photo of inspection {job.number}, Step 1: Kept on this phone")
    shot.unlink()
    (data,) = answer(page, KEPT_BYTES)
    picture = opened(bytes(data))
    # Held upright: the long edge is the height, and the blue corner of the picture lies at the upper right.
    assert (picture.format, picture.size) == ("JPEG", (1500, 2000))
    assert PLACE_WORDS not in bytes(data)
    assert dict(picture.getexif()) == {}
    red, _, blue = picture.convert("RGB").getpixel((1450, 50))  # type: ignore[misc]
    assert (red < 80, blue > 150) == (True, True)
    page = phone.go("/not-sent-yet/")
    card = page.locator("[data-item]")
    expect(card.locator("img.photo-kept")).to_be_visible()
    expect(card).to_contain_text(" kB")
    assert not Photo.objects.exists()
    phone.join()
    phone.send()
    phone.emptied()
    photo = Photo.objects.get()
    assert (photo.step, photo.caption, photo.added_by, photo.width) == (step, "Seal, aft", mechanic, 1500)
    assert photo.kept_at is not None
    receipt = Arrival.objects.get(item=photo.pk).pk
    expect(phone.page.locator("[data-unsent]")).to_contain_text(f"Received - no. {receipt}")


def test_the_words_are_received_while_their_photo_still_waits(
    phone: Phone, engine: Engine, mechanic: Person, shot: Path
) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    number = phone.keep_run(engine)
    add(phone.page, shot, "As it came back")
    expect(phone.page.locator("[data-photos-kept]")).to_contain_text("Kept on this phone")
    run, photo = phone.rows()
    assert (run["id"], photo["kind"], photo["about"], photo["after"]) == (number, "photo", f"item/{number}", [number])
    phone.join()
    phone.context.route(DOOR, lambda route: route.abort() if carries_photo(route) else route.fallback())
    phone.send()
    phone.until(f"async () => (await ({ROWS})('outbox')).every(({{kind}}) => kind === 'photo')")
    assert Run.objects.filter(pk=number).exists()
    unsent = phone.page.locator("[data-unsent]")
    expect(unsent).to_contain_text("Received - no.")
    expect(unsent.locator("[data-item]")).to_contain_text("Not sure - checking")
    phone.context.unroute(DOOR)
    phone.send()
    phone.emptied()
    assert Photo.objects.get().run_id == Run.objects.get().pk


def test_a_photo_of_a_finding_finds_the_finding_that_was_made_of_its_words(
    phone: Phone, job: Inspection, mechanic: Person, shot: Path
) -> None:
    address = f"/inspections/{job.pk}/"
    phone.stock(mechanic, address)
    phone.cut()
    panel = phone.keep_finding(address, "Nick in a blade")
    panel.get_by_text("Add a photo").click()
    panel.get_by_label("Take a photo").set_input_files(shot)
    panel.get_by_role("button", name="Add the photo").click()
    expect(panel.locator("[data-photos-kept]")).to_contain_text("Kept on this phone")
    phone.join()
    phone.send()
    phone.emptied()
    assert Photo.objects.get().finding == Finding.objects.get()


def test_a_photo_whose_answer_was_lost_is_there_once(
    phone: Phone, job: Inspection, mechanic: Person, shot: Path
) -> None:
    page = phone.stock(mechanic, f"/inspections/{job.pk}/")
    lost: list[Any] = []

    def lose(route: Any) -> None:
        if lost or not carries_photo(route):
            return route.fallback()
        lost.append(route.fetch())
        return route.abort()

    phone.context.route(DOOR, lose)
    page = phone.go(f"/runs/{job.run_id}/")
    add(page, shot, "")
    kept = page.locator("[data-photos-kept]")
    expect(kept).to_contain_text("Not sure - checking")
    assert Photo.objects.count() == 1
    phone.send()
    phone.emptied()
    assert Photo.objects.count() == 1


def test_a_refused_photo_stays_and_is_set_aside_with_a_reason(
    phone: Phone, job: Inspection, mechanic: Person, shot: Path, settings: Any
) -> None:
    phone.stock(mechanic, f"/inspections/{job.pk}/")
    settings.PHOTOS_MOST = 0
    page = phone.go(f"/runs/{job.run_id}/")
    add(page, shot, "")
    expect(page.locator("[data-photos-kept]")).to_contain_text("Needs you - There are 0 photos of it already")
    page = phone.go("/not-sent-yet/")
    expect(page.get_by_role("button", name="Save this file")).to_be_visible()
    page.get_by_text("Set it aside").first.click()
    page.get_by_label("Why it is not sent").fill("Taken twice")
    page.get_by_role("button", name="Set it aside").click()
    phone.emptied()
    assert not Photo.objects.exists()


def test_a_full_store_says_so_and_loses_nothing(phone: Phone, job: Inspection, mechanic: Person, shot: Path) -> None:
    address = f"/inspections/{job.pk}/"
    phone.stock(mechanic, address)
    phone.cut()
    page = phone.go(address)
    add(page, shot, "Before")
    expect(page.locator("[data-photos-kept]")).to_contain_text("Kept on this phone")
    page.evaluate(
        "() => { IDBObjectStore.prototype.add = () => { throw new DOMException('no room', 'QuotaExceededError'); }; }"
    )
    sheet = page.locator("form[data-outbox=photo]").first
    sheet.get_by_label("Take a photo").set_input_files(shot)
    sheet.get_by_role("button", name="Add the photo").click()
    expect(sheet.get_by_role("alert")).to_contain_text("Not kept: this device has no room")
    assert sheet.get_by_label("Take a photo").evaluate("box => box.files.length") == 1
    assert [row["fields"] for row in phone.rows()] == [[["caption", "Before"]]]


def test_what_is_no_picture_is_not_kept(phone: Phone, job: Inspection, mechanic: Person, tmp_path: Path) -> None:
    path = tmp_path / "page.jpg"
    path.write_bytes(b"<script>steal()</script>")
    phone.stock(mechanic, f"/inspections/{job.pk}/")
    page = phone.go(f"/runs/{job.run_id}/")
    page.get_by_text("Add a photo").first.click()
    sheet = page.locator("form[data-outbox=photo]").first
    sheet.get_by_role("button", name="Add the photo").click()
    expect(sheet.get_by_role("alert")).to_have_text("Take a photo first, or choose a picture.")
    sheet.get_by_label("Take a photo").set_input_files(path)
    sheet.get_by_role("button", name="Add the photo").click()
    expect(sheet.get_by_role("alert")).to_contain_text("This phone cannot read that picture.")
    assert (phone.rows(), Arrival.objects.count()) == ([], 0)


def test_photos_saved_to_a_file_are_taken_back_whole(
    phone: Phone, job: Inspection, mechanic: Person, shot: Path, tmp_path: Path
) -> None:
    address = f"/inspections/{job.pk}/"
    phone.stock(mechanic, address)
    phone.cut()
    add(phone.go(address), shot, "Saved")
    expect(phone.page.locator("[data-photos-kept]")).to_contain_text("Kept on this phone")
    page = phone.go("/not-sent-yet/")
    with page.expect_download() as saving:
        page.get_by_role("button", name="Save to a file").click()
    path = tmp_path / "unsent.json"
    saving.value.save_as(path)
    page.get_by_label("Take back a file of entries").set_input_files(path)
    expect(page.locator("[data-unsent]")).to_contain_text("0 taken back, 1 known here already.")
    phone.join()
    phone.send()
    phone.emptied()
    assert Photo.objects.get().caption == "Saved"

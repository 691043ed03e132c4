"""Photos in the record: signed by their hash, found wrong where they were changed, handed over and taken in."""

import subprocess
import sys
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.urls import reverse

from engines.models import Engine
from inspections import actions
from inspections.models import Inspection
from logbook.actions import inspection_sign
from logbook.handover.importing import package_import
from logbook.handover.photos import photo_received
from logbook.ledger.check_package import Mismatch, check
from logbook.ledger.evidence import evidence_check
from logbook.ledger.guards import guards_lift, guards_set
from logbook.ledger.lots import LedgerBroken
from logbook.maintenance.actions import work_open
from logbook.models import Entry, Person, Photo, ReceivedEntry
from tests.factories import EngineFactory
from tests.logbook.handover.records import packed_of
from tests.logbook.photos.kit import photo_of
from tests.logbook.photos.pictures import camera_jpeg
from tests.logbook.screen_kit import signed_in, words
from tests.signed import run_signed, signing_of


@pytest.fixture
def entry(inspection: Inspection, mechanic: Person) -> Entry:
    """Return the entry of a run with two photos, one of another colour than the other."""
    photo_of(mechanic, "run", inspection.run_id, caption="Seal", data=camera_jpeg((640, 480)))
    photo_of(mechanic, "run", inspection.run_id, data=camera_jpeg((640, 480), colour=(10, 200, 10)))
    return run_signed(inspection.run, mechanic)


def ended(inspection: Inspection, by: Person) -> Entry:
    """End an inspection as not approved, and return its entry."""
    actions.finding_add(inspection=inspection, text="Nick in a blade", by=by)
    return inspection_sign(
        inspection=inspection,
        by=by,
        signing=signing_of(by),
        outcome="not_approved",
        extent="Looked at",
        completed_on=inspection.opened_at.date(),
        given_to="The owner",
    )


def fault_of(engine: Engine) -> str:
    """Return what the check says first; nothing where all is whole."""
    try:
        evidence_check(engine.operator)
    except LedgerBroken as error:
        return error.message
    return ""


def test_photos_enter_an_entry_by_their_hash(entry: Entry) -> None:
    photos = list(Photo.objects.all())
    assert [told["sha256"] for told in entry.body["photos"]] == [photo.sha256 for photo in photos]
    assert {told["caption"] for told in entry.body["photos"]} == {"Seal", ""}
    assert evidence_check(entry.operator) == 2


def test_an_inspection_ends_with_the_photos_of_all_its_parts(
    engine: Engine, inspection: Inspection, mechanic: Person
) -> None:
    photo_of(mechanic, "inspection", inspection.pk)
    photo_of(mechanic, "step", inspection.steps.get(position=1).pk)
    entry = ended(inspection, mechanic)
    assert sorted(told["of"] for told in entry.body["photos"]) == ["step 1", "the inspection"]
    assert fault_of(engine) == ""


def test_a_photo_that_comes_later_is_listed_as_later_and_not_signed(
    client: Client, inspection: Inspection, mechanic: Person
) -> None:
    entry = ended(inspection, mechanic)
    photo_of(mechanic, "inspection", inspection.pk, caption="Afterwards")
    assert "photos" not in Entry.objects.get(pk=entry.pk).body
    seen = words(signed_in(client, mechanic).get(reverse("entry_detail", args=[entry.number])))
    assert "Photos added after this was signed They are no part of what was signed. Afterwards" in seen


def changed(photo: Photo) -> None:
    path = Path(photo.file.path)
    path.write_bytes(path.read_bytes()[:-1] + b"\0")


def missing(photo: Photo) -> None:
    Path(photo.file.path).unlink()


def swapped(photo: Photo) -> None:
    other = Photo.objects.exclude(pk=photo.pk).get()
    one, another = Path(photo.file.path), Path(other.file.path)
    was = one.read_bytes()
    one.write_bytes(another.read_bytes())
    another.write_bytes(was)


def small_changed(photo: Photo) -> None:
    Path(photo.preview.path).write_bytes(b"")


@pytest.mark.parametrize(
    ("bend", "said"),
    [
        (changed, "is not the one that was kept"),
        (missing, "can't be read"),
        (swapped, "is not the one that was kept"),
        (small_changed, "is not the one that was kept"),
    ],
)
def test_a_changed_missing_or_swapped_file_is_named(
    bend: Callable[[Photo], None], said: str, engine: Engine, entry: Entry
) -> None:
    photo = min(Photo.objects.all(), key=lambda one: one.pk)
    bend(photo)
    assert (f"photo {photo.pk}" in fault_of(engine), said in fault_of(engine)) == (True, True)
    with pytest.raises(CommandError, match=f"photo {photo.pk}"):
        call_command("verify")


def by_sql(statement: str, *values: Any) -> None:
    """Change rows behind the program's back."""
    guards_lift(connection)
    with connection.cursor() as cursor:
        cursor.execute(statement, values)
    guards_set(connection)


def test_rows_that_were_changed_behind_the_program_are_named(engine: Engine, entry: Entry, mechanic: Person) -> None:
    first, second = Photo.objects.all()
    number = first.pk.hex if connection.vendor == "sqlite" else first.pk
    by_sql("UPDATE logbook_photo SET caption = 'Another seal' WHERE id = %s", number)
    assert fault_of(engine) == f"Photo {first.pk} is not as entry {entry.number} tells it."
    by_sql("UPDATE logbook_photo SET caption = 'Seal', file = %s, sha256 = %s", second.file.name, second.sha256)
    assert fault_of(engine) == f"Photo {first.pk} is not as entry {entry.number} tells it."
    by_sql("DELETE FROM logbook_photo WHERE id = %s", number)
    assert fault_of(engine) == f"Photo {first.pk}, which entry {entry.number} tells, is no longer kept."


def test_a_photo_that_was_hung_on_something_else_is_named(
    engine: Engine, inspection: Inspection, entry: Entry, mechanic: Person
) -> None:
    photo = photo_of(mechanic, "inspection", inspection.pk)
    signed, other = ended(inspection, mechanic), EngineFactory.create(operator=engine.operator)
    number = photo.pk.hex if connection.vendor == "sqlite" else photo.pk
    said = f"Photo {photo.pk} is not as entry {signed.number} tells it."
    by_sql("UPDATE logbook_photo SET engine_id = %s WHERE id = %s", other.pk, number)
    assert fault_of(engine) == said
    by_sql("UPDATE logbook_photo SET engine_id = %s, inspection_id = NULL WHERE id = %s", engine.pk, number)
    assert fault_of(engine) == said


def test_the_database_itself_keeps_photos(entry: Entry) -> None:
    with pytest.raises(TypeError):
        Photo.objects.update(caption="x")
    with pytest.raises(Exception, match="only ever added"), connection.cursor() as cursor:
        cursor.execute("UPDATE logbook_photo SET caption = 'x'")


def bent(package: bytes, old: bytes, new: bytes) -> bytes:
    assert (len(old), old in package) == (len(new), True)
    return package.replace(old, new, 1)


def test_a_package_carries_the_photos_and_every_verifier_knows_them(
    engine: Engine, entry: Entry, mechanic: Person, tmp_path: Path
) -> None:
    package = packed_of(engine, mechanic)
    check(BytesIO(package))
    photo = min(Photo.objects.all(), key=lambda one: one.sha256)
    data = Path(photo.file.path).read_bytes()
    with pytest.raises(Mismatch, match=f"photos/{photo.sha256}"):
        check(BytesIO(bent(package, data, data[:-1] + b"\0")))
    path = tmp_path / "package.zip"
    path.write_bytes(package)
    script = Path(__file__).resolve().parents[3] / "logbook/ledger/check_package.py"
    done = subprocess.run([sys.executable, str(script), str(path)], capture_output=True, text=True, check=False)
    assert (done.returncode, "Everything matches" in done.stdout) == (0, True)


def test_the_next_owner_has_the_photos(
    client: Client, engine: Engine, entry: Entry, mechanic: Person, stranger: Person
) -> None:
    package = packed_of(engine, mechanic)
    kept = package_import(BytesIO(package), operator=stranger.operator, by=stranger, signing=signing_of(stranger))  # type: ignore[arg-type]
    theirs = Photo.objects.filter(operator=stranger.operator)
    assert sorted(theirs.values_list("sha256", "caption", "of", "width")) == sorted(
        Photo.objects.filter(operator=engine.operator).values_list("sha256", "caption", "of", "width")
    )
    assert {photo.run.engine for photo in theirs if photo.run} == {kept.engine}
    received = ReceivedEntry.objects.filter(package=kept, number=entry.number).get()
    page = signed_in(client, stranger).get(reverse("received_entry", args=[kept.pk, received.number]))
    for photo in theirs:
        assert reverse("photo_preview", args=[photo.pk]) in page.content.decode()
        assert client.get(reverse("photo_preview", args=[photo.pk])).status_code == 200
    assert evidence_check(stranger.operator) == 3  # type: ignore[arg-type]


def test_photos_of_work_that_was_not_signed_stay_behind(engine: Engine, entry: Entry, mechanic: Person) -> None:
    work = work_open(engine=engine, kind="work", facts={}, by=mechanic)
    photo = photo_of(mechanic, "work", work.pk, data=camera_jpeg(colour=(9, 9, 99)))
    assert photo.sha256.encode() not in packed_of(engine, mechanic)


def test_what_is_no_picture_is_not_taken_in_as_a_photo(entry: Entry, photo_folder: Path) -> None:
    before = sorted(photo_folder.rglob("*"))
    with pytest.raises(ValueError, match="no picture"):
        photo_received(Photo(operator=entry.operator), b"<script>steal()</script>")
    assert sorted(photo_folder.rglob("*")) == before


def test_a_damaged_photo_is_not_packed(engine: Engine, entry: Entry, mechanic: Person) -> None:
    changed(Photo.objects.earliest("added_at"))
    with pytest.raises(Exception, match="is not the one that was kept"):
        packed_of(engine, mechanic)

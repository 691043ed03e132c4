"""Backups: a copy of database, recorded files and keys, made while people work, and put back and verified."""

import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.files.storage import storages
from django.db import connection
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Operator, RunTrace
from logbook.ledger.rows import Backup, Entry
from logbook.ledger.store import size_of
from logbook.maintenance.rows import Publication
from logbook.photos.rows import Photo
from logbook.received import ReceivedPackage

OVERDUE_AFTER: Final = timedelta(hours=24)
MANIFEST: Final = "manifest.json"
FILES: Final = "files"
DATABASE: Final = {"sqlite": "database.sqlite3", "postgresql": "database.dump"}
CHUNK: Final = 1 << 20


class BackupUnusable(DomainError):
    """A backup that can't be made or put back; the message says what is wrong and what would be right."""

    code = "backup_unusable"


def backup_newest() -> Backup | None:
    """Return the last backup that was made from here."""
    return Backup.objects.last()


def backup_overdue() -> str:
    """Return in words that the newest entry is in no backup for longer than it may be; nothing where all is well."""
    backup = backup_newest()
    unsaved = Entry.objects.order_by("signed_at")
    if backup is not None:
        unsaved = unsaved.filter(signed_at__gt=backup.made_at)
    first = unsaved.first()
    if first is None or timezone.now() - first.signed_at <= OVERDUE_AFTER:
        return ""
    since = timezone.localtime(first.signed_at)
    return f"Entries since {since:%Y-%m-%d %H:%M} are in no backup; one is made within 24 hours of any maintenance."


def backup_make(folder: Path) -> Path:
    """Copy database, recorded files and keys into a new folder of ``folder``, and return it; people may go on working.

    Recorded files never change, so that each is copied once for all backups of the folder.
    """
    place = folder / timezone.now().strftime("%Y%m%dT%H%M%SZ")
    try:
        place.mkdir(parents=True, mode=0o700)
        database = place / DATABASE[connection.vendor]
        _database_copy(database)
        sizes = {operator.name: size_of(operator) for operator in Operator.objects.order_by("pk")}
        files = dict(_files_copy(folder / FILES))
        keys = _keys_copy(place / "keys")
        digest = digest_of(database)
        told = {"database": {"name": database.name, "sha256": digest}, "files": files, "keys": keys}
        (place / MANIFEST).write_text(json.dumps(told, indent=1, sort_keys=True), encoding="utf8")
    except OSError as error:
        shutil.rmtree(place, ignore_errors=True)
        raise BackupUnusable(f"The backup could not be written: {error}. Nothing half-made is left of it.") from error
    Backup.objects.create(place=str(place)[-200:], database_sha256=digest, sizes=sizes)
    return place


def _database_copy(path: Path) -> None:
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        with closing(sqlite3.connect(path)) as copy:
            connection.connection.backup(copy, pages=1000)
    else:
        _postgres("pg_dump", "--format=custom", f"--file={path}")
    os.chmod(path, 0o600)


def _postgres(program: str, *arguments: str) -> None:
    """Run one of PostgreSQL's own programs on the database that the site uses."""
    known = connection.settings_dict
    named = {"PGHOST": "HOST", "PGPORT": "PORT", "PGUSER": "USER", "PGPASSWORD": "PASSWORD", "PGDATABASE": "NAME"}
    environment = {**os.environ, **{name: str(known[key]) for name, key in named.items() if known[key]}}
    found = shutil.which(program, path=f"{settings.POSTGRES_PROGRAMS}{os.pathsep}{os.environ.get('PATH', '')}")
    if found is None:
        raise BackupUnusable(f"{program} is not found; install PostgreSQL's own programs, or say where they are.")
    done = subprocess.run([found, *arguments], env=environment, capture_output=True, text=True, check=False)
    if done.returncode:
        raise BackupUnusable(f"{program} failed: {done.stderr.strip()}")


def _files_copy(folder: Path) -> Iterator[tuple[str, str]]:
    """Copy every recorded file that is not there yet, and yield its name with its SHA-256."""
    for name, digest in _files_kept():
        target = folder / name
        if not target.exists():
            _file_copy(name, target)
        yield name, digest


def _files_kept() -> Iterator[tuple[str, str]]:
    """Yield the name of every recorded file, photo, document and received package with its SHA-256."""
    for trace in RunTrace.objects.order_by("pk").iterator(500):
        yield str(trace.original.name), trace.original_sha256
        yield str(trace.packed.name), trace.packed_sha256
    for photo in Photo.objects.order_by("pk").iterator(500):
        yield str(photo.file.name), photo.sha256
        yield str(photo.preview.name), photo.preview_sha256
    for row in Publication.objects.exclude(sha256="").order_by("pk").iterator(500):
        yield str(row.file.name), row.sha256
    for package in ReceivedPackage.objects.order_by("pk").iterator(500):
        yield str(package.file.name), package.sha256


def _file_copy(name: str, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    draft = target.with_name(f"{target.name}.part")
    with storages["traces"].open(name) as source, draft.open("wb") as copy:
        shutil.copyfileobj(source, copy, CHUNK)
    draft.replace(target)


def _keys_copy(folder: Path) -> list[str]:
    source = Path(settings.KEYS_DIR)
    if not source.is_dir():
        return []
    shutil.copytree(source, folder)
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def digest_of(path: Path) -> str:
    """Return the SHA-256 of a file, in hexadecimal."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def backup_restore(place: Path) -> None:
    """Put a backup back where nothing is kept yet; the database must be empty, and no key may be overwritten.

    Raises BackupUnusable, with nothing put back, where the backup is not whole or something is kept here already.
    """
    told = manifest_read(place)
    _empty_or_refuse()
    files = place.parent / FILES
    for name, digest in told["files"].items():
        if not (files / name).is_file() or digest_of(files / name) != digest:
            raise BackupUnusable(f"The recorded file {name} is missing from the backup, or was changed there.")
    _database_restore(place / told["database"]["name"])
    for name in told["files"]:
        _file_restore(files / name, name)
    for name in told["keys"]:
        _key_restore(place / "keys" / name, Path(settings.KEYS_DIR) / name)


def manifest_read(place: Path) -> dict[str, Any]:
    """Return what a backup says of itself; BackupUnusable where it is none, or its database was changed."""
    try:
        told: dict[str, Any] = json.loads((place / MANIFEST).read_text(encoding="utf8"))
        database = place / told["database"]["name"]
        digest = digest_of(database)
    except (OSError, ValueError, KeyError) as error:
        raise BackupUnusable(f"{place} is not a whole backup: {error}") from error
    if database.name != DATABASE[connection.vendor]:
        raise BackupUnusable(f"The backup is of another kind of database than the one this site uses: {database.name}.")
    if digest != told["database"]["sha256"]:
        raise BackupUnusable("The database in the backup is not the one that was written.")
    return told


def _empty_or_refuse() -> None:
    tables = connection.introspection.table_names()
    if Operator._meta.db_table in tables and Operator.objects.exists():
        raise BackupUnusable("Something is kept here already. A backup is put back into an empty place only.")


def _database_restore(path: Path) -> None:
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        with closing(sqlite3.connect(path)) as copy:
            copy.backup(connection.connection)
    else:
        whole = ("--clean", "--if-exists", "--no-owner", "--single-transaction")
        _postgres("pg_restore", *whole, "--dbname", str(connection.settings_dict["NAME"]), str(path))
    connection.close()


def _file_restore(path: Path, name: str) -> None:
    storage = storages["traces"]
    if not storage.exists(name):
        with path.open("rb") as file:
            storage.save(name, file)


def _key_restore(path: Path, target: Path) -> None:
    if target.exists() and target.read_bytes() != path.read_bytes():
        raise BackupUnusable(f"{target.name} is another key than the backup's; move it away first.")
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    shutil.copy2(path, target)

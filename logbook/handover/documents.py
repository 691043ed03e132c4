"""Documents that work was done to: those that go with a record, and those that came with one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from hashlib import file_digest
from io import BufferedReader
from tempfile import SpooledTemporaryFile
from typing import Any, Final, cast

from django.core.exceptions import ValidationError
from django.core.files.base import File

from engines.errors import TraceError
from logbook.handover.errors import PackageError
from logbook.ledger.check_package import Archive
from logbook.maintenance.copies import copies_named, copy_store
from logbook.models import Entry, Publication
from logbook.received import ReceivedPackage

WORKED_TO: Final = '"data":{'  # as canonical JSON has it in the body of an entry that tells the data worked to
CHUNK: Final = 1 << 20


def documents_in(entries: Iterable[Entry]) -> list[Publication]:
    """Return the documents that were on file, by any revision that entries name, one row for each revision and copy."""
    named: dict[int, set[tuple[str, str]]] = {}
    told: dict[int, set[str]] = {}
    for entry in entries:
        named.setdefault(entry.operator_id, set()).update(_data_named(entry.body))
        told.setdefault(entry.operator_id, set()).update(copies_named(entry.body))
    found: dict[tuple[str, str, str], Publication] = {}
    for row in Publication.objects.filter(operator__in=named, received=None).order_by("pk"):
        own = (row.title.casefold(), row.revision.casefold())
        if own in named[row.operator_id] or (row.sha256 and row.sha256 in told[row.operator_id]):
            found[*own, row.sha256] = row
    return list(found.values())


def _data_named(value: Any) -> Iterator[tuple[str, str]]:
    """Yield document and revision of all data that the body of an entry says was worked to."""
    if isinstance(value, dict):
        if isinstance(value.get("document"), str) and isinstance(value.get("revision"), str):
            yield value["document"].strip().casefold(), value["revision"].strip().casefold()
        value = list(value.values())
    for one in value if isinstance(value, list) else ():
        yield from _data_named(one)


def document_row(row: Publication) -> dict[str, Any]:
    """Return a document as the record of a package tells it."""
    told = {name: getattr(row, name) for name in ("title", "revision", "file_name", "sha256", "by_id")}
    own = {"id": row.pk, "dated": row.dated.isoformat() if row.dated else None, "at": row.at.isoformat()}
    return own | {name.removesuffix("_id"): value for name, value in told.items()}


def copies_of(record: dict[str, Any]) -> Iterator[tuple[str, Iterator[bytes]]]:
    """Yield the copies that a record names, each once, by SHA-256; TraceError where one is not the one kept."""
    numbers = [row["id"] for row in record["tables"]["documents"] if row["sha256"]]
    seen: set[str] = set()
    for row in Publication.objects.filter(pk__in=numbers).order_by("sha256", "pk"):
        if row.sha256 not in seen:
            seen.add(row.sha256)
            yield row.sha256, _copy(row)


def _copy(row: Publication) -> Iterator[bytes]:
    with row.file.open("rb") as file:
        if file_digest(cast(BufferedReader, file), "sha256").hexdigest() != row.sha256:
            raise TraceError(f"The copy of {row} is not the one that was kept.", code="trace_damaged")
        file.seek(0)
        yield from iter(lambda: file.read(CHUNK), b"")


def documents_keep(package: ReceivedPackage, archive: Archive) -> None:
    """Keep the documents that came with a package, each with its copy; PackageError where one can't be."""
    for told in archive.json("record.json")["tables"].get("documents", []):
        row = Publication(
            operator_id=package.operator_id,
            title=told["title"],
            revision=told["revision"],
            dated=date.fromisoformat(told["dated"]) if told["dated"] else None,
            received=package,
            by_id=package.received_by_id,
        )
        if told["sha256"]:
            with whole_file(archive, f"documents/{told['sha256']}") as file:
                file.name = told["file_name"]
                vars(row).update(copy_store(package.operator_id, file))
        try:
            row.full_clean()
        except ValidationError as error:
            raise PackageError(f"A document of the record can't be kept: {error}") from error
        row.save(force_insert=True)


def whole_file(archive: Archive, name: str) -> File[bytes]:
    """Return a file of a package, which need not fit into memory."""
    spool = SpooledTemporaryFile(max_size=CHUNK * 16)  # noqa: SIM115 - closed with the File about it
    for piece in archive.chunks(name):
        spool.write(piece)
    spool.seek(0)
    return File(spool)

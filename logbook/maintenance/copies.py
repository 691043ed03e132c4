"""Copies of documents that are kept: each under its own SHA-256, one operator's apart from another's."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from hashlib import file_digest
from io import BufferedReader
from pathlib import PurePath
from typing import Any, Final, cast

from django.core.files.base import File

from engines.models import Operator
from engines.models.runs import trace_storage
from logbook.ledger.lots import LedgerBroken
from logbook.maintenance.rows import Publication

FOLDER: Final = "documents"
LONGEST_NAME: Final = 120
TOLD: Final = '"file":{"name":'  # as canonical JSON has it in the body of an entry that tells a copy


def copy_store(operator_id: int, file: File[bytes]) -> dict[str, Any]:
    """Store a copy unless it is there, and return the columns of the row that it belongs to.

    One of that name that holds something else was cut off as it was written; it is left, and another name taken.
    """
    digest = file_digest(cast(BufferedReader, file), "sha256").hexdigest()
    kept = {"sha256": digest, "file_name": PurePath(file.name or digest).name[-LONGEST_NAME:]}
    name, storage = f"{FOLDER}/{operator_id}/{digest[:2]}/{digest}", trace_storage()
    if storage.exists(name):
        with storage.open(name) as there:
            if file_digest(cast(BufferedReader, there), "sha256").hexdigest() == digest:
                return kept | {"file": name}
    file.seek(0)
    return kept | {"file": storage.save(name, file)}


def copy_part(row: Publication | None, named: str) -> dict[str, Any]:
    """Return what an entry tells of the copy of the very revision that its work names; nothing where none is kept."""
    if row is None or not row.sha256 or named.strip().casefold() != row.revision.casefold():
        return {}
    return {"file": {"name": row.file_name, "sha256": row.sha256}}


def copies_named(value: Any) -> Iterator[str]:
    """Yield the SHA-256 of each copy that the body of an entry tells, wherever it tells the data worked to."""
    if isinstance(value, dict):
        if isinstance(value.get("file"), dict) and "document" in value:
            yield str(value["file"].get("sha256", ""))
        value = list(value.values())
    for one in value if isinstance(value, list) else ():
        yield from copies_named(one)


def copies_check(operator: Operator, hold: Callable[[str, str, str], None]) -> int:
    """Check the copies that are kept, and that each which an entry tells is; return how many were read.

    ``hold`` is asked to hold a file, called so and of a name, against its SHA-256. Raises LedgerBroken for the first
    thing that is wrong.
    """
    kept: set[str] = set()
    for row in Publication.objects.filter(operator=operator).exclude(sha256="").order_by("pk"):
        if row.sha256 not in kept:
            hold(f"copy of {row}", str(row.file.name), row.sha256)
            kept.add(row.sha256)
    for entry in operator.entries.filter(content__contains=TOLD).order_by("number").iterator(200):
        for digest in copies_named(entry.body):
            if digest not in kept:
                raise LedgerBroken(f"The document {digest}, which entry {entry.number} was done to, is no longer kept.")
    return len(kept)

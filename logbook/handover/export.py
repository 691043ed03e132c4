"""Making a package of an engine's or a part's whole record."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC
from typing import Any, BinaryIO, Final

from django.db.models import Q
from django.utils import timezone

from engines.errors import DomainError, TraceError
from engines.models import Operator, RunTrace
from engines.queries import engine_times, recording_of
from logbook.handover.checkers import check_page, check_script
from logbook.handover.documents import copies_of
from logbook.handover.gathering import counts_of, entries_in, record_of, times_of, unsigned_refuse
from logbook.handover.packing import Packing
from logbook.handover.prints import log_of
from logbook.handover.proofs import entry_file, proofs_of
from logbook.handover.receipt import receipt_document, receipt_text
from logbook.handover.tables import Scope
from logbook.handover.traces import trace_csv, trace_facts
from logbook.ledger.keys import key_name, ledger_key
from logbook.ledger.notes import checkpoint_text, note_sign, vkey_encode
from logbook.ledger.store import checkpoint_make
from logbook.models import Checkpoint, Person, Photo
from logbook.photos.storing import photo_bytes
from logbook.received import ReceivedPackage

CHUNK: Final = 1 << 20
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Export:
    """What is packed, by whom, and who is told how far it is."""

    scope: Scope
    operator: Operator
    by: Person
    progress: Progress = lambda done, of: None


def package_write(export: Export, out: BinaryIO) -> None:
    """Write a package to an empty file.

    Raises DomainError "unsigned_left" where a run is not signed as it stands, "nothing_to_hand_over" for a ledger
    without an entry of it, and TraceError "trace_damaged" where a stored file is not what it was.
    """
    unsigned_refuse(export.scope)
    checkpoint = checkpoint_make(export.operator)
    size = checkpoint.size if checkpoint else 0
    numbers = list(entries_in(export.scope).filter(number__lte=size).values_list("number", flat=True))
    if checkpoint is None or not numbers:
        raise DomainError("There is no signed entry of it yet, so nothing to hand over.", code="nothing_to_hand_over")
    record = record_of(export.scope)
    traces = list(RunTrace.objects.filter(pk__in=[row["id"] for row in record["tables"]["traces"]]).order_by("pk"))
    photos = list(Photo.objects.filter(pk__in=[row["id"] for row in record["tables"]["photos"]]).order_by("sha256"))
    packing = Packing(out)
    steps = _Steps(export.progress, len(numbers) + len(traces) + len(photos) + 1)
    _entries_add(packing, export, numbers, steps)
    packing.add_json("proofs.json", proofs_of(export.operator, numbers, checkpoint.size))
    packing.add("checkpoint.txt", [_signed_now(export.operator, checkpoint)])
    _traces_add(packing, record, traces, steps)
    _photos_add(packing, photos, steps)
    for digest, pieces in copies_of(record):
        packing.add(f"documents/{digest}", pieces)
    packing.add_json("record.json", record)
    packing.add("prints/log.pdf", [log_of(export.scope, export.by, numbers)])
    steps.next()
    _received_add(packing, export.scope)
    _papers_add(packing, export, record, checkpoint, len(numbers))


def _signed_now(operator: Operator, checkpoint: Checkpoint) -> bytes:
    """Return a checkpoint signed by the key of now, which seals the package; it may have been made by another."""
    name = key_name(operator)
    text = checkpoint_text(name, checkpoint.size, bytes.fromhex(checkpoint.root))
    return note_sign(text, name=name, key=ledger_key(operator)).encode()


class _Steps:
    """Tells how many of all steps are done."""

    def __init__(self, progress: Progress, of: int) -> None:
        self._progress, self._of, self._done = progress, of, 0

    def next(self) -> None:
        self._done += 1
        self._progress(self._done, self._of)


def _entries_add(packing: Packing, export: Export, numbers: list[int], steps: _Steps) -> None:
    entries = entries_in(export.scope).filter(number__lte=numbers[-1])
    for entry in entries.iterator(chunk_size=100):
        packing.add(entry_file(entry.number), [entry.document])
        steps.next()


def _traces_add(packing: Packing, record: dict[str, Any], traces: list[RunTrace], steps: _Steps) -> None:
    rows = {row["id"]: row for row in record["tables"]["traces"]}
    packed: set[str] = set()
    for trace in traces:
        recording = recording_of(trace)
        rows[trace.pk]["facts"] = trace_facts(recording)
        if trace.original_sha256 not in packed:
            packed.add(trace.original_sha256)
            packing.add(f"traces/{trace.original_sha256}", _original(trace))
        packing.add(f"samples/{trace.pk}.csv.gz", [trace_csv(recording)])
        steps.next()


def _photos_add(packing: Packing, photos: list[Photo], steps: _Steps) -> None:
    """Pack photos, each once; TraceError where one is not the one that was kept."""
    packed: set[str] = set()
    for photo in photos:
        data = photo_bytes(str(photo.file.name))
        if hashlib.sha256(data).hexdigest() != photo.sha256:
            raise TraceError(f"The file of {photo} is not the one that was kept.", code="trace_damaged")
        if photo.sha256 not in packed:
            packed.add(photo.sha256)
            packing.add(f"photos/{photo.sha256}", [data])
        steps.next()


def _original(trace: RunTrace) -> Iterator[bytes]:
    """Yield a recorded file; TraceError where it is not the one that was recorded."""
    digest = hashlib.sha256()
    with trace.original.open("rb") as file:
        while piece := file.read(CHUNK):
            digest.update(piece)
            yield piece
    if digest.hexdigest() != trace.original_sha256:
        raise TraceError(f"{trace.original_name} is not the file that was recorded.", code="trace_damaged")


def _received_add(packing: Packing, scope: Scope) -> None:
    """Hand on, unopened, the packages by which the record came here."""
    wanted = Q(component__in=[component.pk for component in scope.components])
    if scope.engine is not None:
        wanted |= Q(engine=scope.engine)
    for package in ReceivedPackage.objects.filter(wanted, within=None).order_by("pk"):
        with package.file.open("rb") as file:
            packing.add(f"received/{package.sha256}.zip", iter(lambda: file.read(CHUNK), b""))


def _papers_add(packing: Packing, export: Export, record: dict[str, Any], checkpoint: Checkpoint, entries: int) -> None:
    facts = about(export)
    ledger = {"origin": key_name(export.operator), "size": checkpoint.size, "root": checkpoint.root}
    receipt = receipt_document(facts, counts_of(record, entries), ledger)
    packing.add_json("receipt.json", receipt)
    packing.add("RECEIPT.txt", [receipt_text(receipt).encode()])
    packing.add("check.py", [check_script()])
    packing.add("check.html", [check_page()])
    key = ledger_key(export.operator)
    earlier = {"earlier_keys": _earlier_keys(export.operator, key.public_key().public_bytes_raw().hex())}
    packing.close(facts | earlier, name=key_name(export.operator), key=key)


def _earlier_keys(operator: Operator, public: str) -> list[str]:
    """Return the other keys by which checkpoints of the ledger were signed, for whoever kept one of those."""
    others = operator.ledger_keys.exclude(public=public).order_by("pk").values_list("public", flat=True)
    return [vkey_encode(key_name(operator), bytes.fromhex(other)) for other in others]


def about(export: Export) -> dict[str, Any]:
    """Return what the manifest says of a package."""
    scope, operator = export.scope, export.operator
    if scope.engine is not None:
        engine = scope.engine
        own = {"kind": "engine", "serial": engine.serial, "type": engine.engine_type.name}
        title, times = f"engine {engine.serial}, type {engine.engine_type.name}", times_of(scope, engine_times(engine))
    else:
        part = scope.components[0]
        own = {"kind": "part", "serial": part.serial, "part_number": part.part_number}
        title, times = f"part {part.part_number}, serial {part.serial}", times_of(scope, None)
    return {
        "title": title,
        "about": own,
        "times": times,
        **operator.named,
        "made_at": timezone.now().astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "made_by": str(export.by),
    }

"""Checking that what entries rest on is still there: files and received packages byte for byte, and what was stated."""

import hashlib
import json
from collections.abc import Iterator
from typing import Any, Final

from django.core.files.storage import storages
from django.db.models import Max

from engines.models import Operator, RunTrace
from logbook.entry_bodies import evidence_facts, run_facts
from logbook.ledger.canonical import canonical
from logbook.ledger.lots import LedgerBroken
from logbook.ledger.rows import Entry
from logbook.maintenance.copies import copies_check
from logbook.photos.checking import photos_check
from logbook.received import ReceivedPackage

CHUNK: Final = 1 << 20
ROWS: Final = 200


def evidence_check(operator: Operator) -> int:
    """Check an operator's files and runs against their entries; return how many files were read.

    Raises LedgerBroken for the first thing that is wrong.
    """
    known: dict[Any, set[str]] = {}
    count = 0
    for trace in RunTrace.objects.filter(run__operator=operator).order_by("pk").iterator(ROWS):
        _file_hold(f"recorded file {trace.original_name}", str(trace.original.name), trace.original_sha256)
        _file_hold(f"recorded file {trace.original_name}", str(trace.packed.name), trace.packed_sha256)
        known.setdefault(trace.run_id, set()).add(trace.original_sha256)
        count += 1
    for entry in _newest_of_runs(operator):
        _run_hold(entry, known.get(entry.run_id, set()))
    for package in ReceivedPackage.objects.filter(operator=operator).order_by("pk"):
        _file_hold(f"package of {package}", str(package.file.name), package.sha256)
        _received_hold(package)
        count += 1
    return count + photos_check(operator, _file_hold) + copies_check(operator, _file_hold)


def _file_hold(called: str, name: str, expected: str) -> None:
    digest = hashlib.sha256()
    try:
        with storages["traces"].open(name) as file:
            while chunk := file.read(CHUNK):
                digest.update(chunk)
    except OSError as error:
        raise LedgerBroken(f"The {called} can't be read: {error}") from error
    if digest.hexdigest() != expected:
        raise LedgerBroken(f"The {called} ({name}) is not the one that was kept.")


def _received_hold(package: ReceivedPackage) -> None:
    for entry in package.entries.order_by("number").iterator(ROWS):
        if not entry.holds:
            raise LedgerBroken(f"Entry {entry.number} that came with {package} is not what was signed there.")


def _newest_of_runs(operator: Operator) -> Iterator[Entry]:
    """Yield the newest entry about each run that is signed as it stands."""
    signed = operator.entries.filter(kind__in=Entry.RUNS, run__isnull=False, run__unsigned__isnull=True)
    newest = signed.values("run").annotate(newest=Max("number")).values("newest")
    entries = operator.entries.filter(number__in=newest).select_related("run__engine")
    yield from entries.order_by("number").iterator(ROWS)


def _run_hold(entry: Entry, files: set[str]) -> None:
    signed = entry.body
    for item in signed["evidence"]:
        if item["kind"] == "trace" and item["sha256"] not in files:
            raise LedgerBroken(f"The file {item['name']}, which entry {entry.number} rests on, is no longer kept.")
    assert entry.run is not None
    now = json.loads(canonical(run_facts(entry.run) | {"evidence": evidence_facts(entry.run)}))
    then = signed["run"] | {"evidence": signed["evidence"]}
    for name in now.keys() & then.keys():
        if now[name] != then[name]:
            raise LedgerBroken(f"The {name} of the run of entry {entry.number} is not what was signed.")

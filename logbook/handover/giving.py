"""Handing a record over to its next owner, signed; and taking that back where it came to nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from engines.actions.owners import engine_here, engine_leave, engine_stays, part_leave, parts_stay
from engines.errors import DomainError
from engines.models import Component, Engine, Operator, PartMovement
from engines.part_queries import fitted_at, lines_standing, off_since
from engines.queries import engine_times
from logbook.actions import certificate_check, text_check
from logbook.entry_bodies import corrected_body
from logbook.handover.gathering import entries_in, scope_of_engine, scope_of_part, times_of, unsigned_refuse
from logbook.handover.tables import Scope
from logbook.handover.words import WORK_KEPT, handed_rows
from logbook.ledger.answers import VOID
from logbook.ledger.check_package import Archive, Mismatch
from logbook.ledger.store import entry_seal
from logbook.models import Entry, PackageJob, Person
from logbook.signing import Signing, signed_body

MEANING: Final = (
    "I hand this record over, as it is sealed in the package named here. It approves nothing for return to service."
)
VOID_MEANING: Final = "I confirm that this hand-over came to nothing. It approves nothing for return to service."
VOIDED: Final = "Hand-over void"


@dataclass(frozen=True)
class Giving:
    """To whom a record goes, on which day, in which form, who keeps it, and where it can be inspected."""

    to: str
    on: date
    custody: str
    form: str
    available: str
    agreed_by: str = ""
    remarks: str = ""
    control: str = ""


@transaction.atomic
def handover_sign(*, job: PackageJob, giving: Giving, by: Person, signing: Signing, read: str = "") -> Entry:
    """Sign that a packed record is handed over; nothing more is recorded of what it is about.

    Raises DomainError "package_gone" where it is not packed, or no longer kept, "package_outdated" where an entry was
    signed since, "unsigned_left", "text_missing", "engine_left", "left", "already_fitted", "control_needed",
    "certificate_not_valid", and "text_changed" where the text is another than was read.

    References
    ----------
    14 CFR 91.419.
    """
    operator = Operator.objects.select_for_update().get(pk=by.operator_id or 0)
    scope = scope_of_job(job)
    if scope.engine is not None:
        engine_here(scope.engine)
    told = _package_told(job)
    _current_check(scope, told["size"])
    _giving_check(giving)
    certificate_check(by, signing.certificate, giving.on)
    body = _handed_body(operator, scope, {**told, **vars(giving), "on": giving.on.isoformat()})
    at = timezone.now()
    _leave(scope, giving, at, by)
    text = signed_body(body, by, signing, at.replace(microsecond=0))
    text_check(text, read)
    entry = _sealed(operator.pk, text, scope, by, at, completed_on=giving.on)
    PackageJob.objects.filter(pk=job.pk).update(entry=entry)
    return entry


def scope_of_job(job: PackageJob) -> Scope:
    """Return what a packed record is about."""
    return scope_of_engine(job.engine) if job.engine is not None else scope_of_part(_part(job))


def _part(job: PackageJob) -> Component:
    assert job.component is not None
    return job.component


def _package_told(job: PackageJob) -> dict[str, Any]:
    """Return what a packed record says of itself, and by what it is known again."""
    if job.state != PackageJob.State.DONE or not job.file.exists():
        raise DomainError("It is not packed yet, or no longer kept here; have it packed.", code="package_gone")
    with job.file.open("rb") as file:
        try:
            archive = Archive(file)
            manifest, receipt = archive.json("manifest.json"), archive.json("receipt.json")
            seal = archive.read("seal.txt").decode().rstrip("\n").rpartition("\n")[2]
            digest = archive.digest("manifest.json")
        except Mismatch as error:
            raise DomainError(f"{error} Have it packed again.", code="package_gone") from error
    ledger = receipt["checkpoint"]
    return {
        "package_sha256": job.sha256,
        "manifest_sha256": digest,
        "seal": seal,
        "key": manifest["key"],
        "made_at": manifest["made_at"],
        "counts": receipt["counts"],
        **{name: ledger[name] for name in ("origin", "size", "root")},
    }


def _current_check(scope: Scope, size: int) -> None:
    """Refuse a package that does not hold everything that was signed of the record."""
    unsigned_refuse(scope)
    newer = entries_in(scope).filter(number__gt=size).first()
    if newer is not None:
        words = f"Entry {newer.number} was signed after it was packed. Have it packed again."
        raise DomainError(words, code="package_outdated")


def _giving_check(giving: Giving) -> None:
    said = {"to": "Name the new owner.", "available": "Say where the records can be inspected."}
    if giving.custody == WORK_KEPT:
        said["agreed_by"] = "Name who agreed for the new owner that you keep them."
    missing = {name: words for name, words in said.items() if not getattr(giving, name).strip()}
    if missing:
        raise DomainError(" ".join(missing.values()), code="text_missing", fields=missing)


def _handed_body(operator: Operator, scope: Scope, handed: dict[str, Any]) -> dict[str, Any]:
    """Return the text of the entry, before it is signed."""
    told = {name: value for name, value in handed.items() if name != "control"}
    times = times_of(scope, engine_times(scope.engine) if scope.engine else None)
    body = {
        "kind": Entry.Kind.HANDOVER.value,
        "title": "Record handed over",
        **operator.named,
        "times": times,
        "completed_on": handed["on"],
        "handed": told,
    }
    if scope.engine is not None:
        return body | {"engine": scope.engine.named}
    part = scope.components[0]
    named = [("Part number", part.part_number), ("Serial", part.serial), ("What it is", part.description)]
    return body | {"engine": {}, "part": [list(row) for row in (*named, *handed_rows(told))]}


def _leave(scope: Scope, giving: Giving, at: datetime, by: Person) -> None:
    """Record that it goes: an engine with its parts, or a part with those that sit in it."""
    if scope.engine is not None:
        engine_leave(engine=scope.engine, to=giving.to, at=at, by=by)
        return
    part, *within = scope.components
    line = fitted_at(part)
    if line is not None:
        raise DomainError(f"{part} is still fitted; remove it first.", code="already_fitted")
    gone = off_since(part)
    if gone is None or gone.kind != PartMovement.Kind.LEFT:
        part_leave(component=part, to=giving.to, at=at, by=by, control=giving.control)
    for one in within:
        part_leave(component=one, to=giving.to, at=at, by=by, remarks=f"In {part}")


def _sealed(operator: int, text: dict[str, Any], scope: Scope, by: Person, at: datetime, **row: Any) -> Entry:
    return entry_seal(
        operator_id=operator,
        body=text,
        kind=Entry.Kind.HANDOVER,
        engine=scope.engine,
        component=None if scope.engine else scope.components[0],
        signed_by=by,
        signed_at=at.replace(microsecond=0),
        **row,
    )


def handover_of(engine: Engine | None, component: Component | None) -> Entry | None:
    """Return the newest entry by which an engine or a part was handed over, None where none stands."""
    about = {"engine": engine} if engine is not None else {"component": component}
    found = Entry.objects.filter(kind=Entry.Kind.HANDOVER, corrects=None, corrected_by=None, **about)
    return next((entry for entry in found.order_by("-number") if entry.body.get("handed")), None)


def handover_void_fault(entry: Entry) -> DomainError | None:
    """Return why a hand-over can't be taken back: it is none, or it is void already."""
    if not entry.body.get("handed") or entry.corrects_id is not None:
        return DomainError(f"Entry {entry.number} is no hand-over of a record.", code="not_correctable")
    newer = Entry.objects.filter(corrects=entry).first()
    if newer is not None:
        words = f"Entry {newer.number} says that this hand-over is void."
        return DomainError(words, code="corrected_before")
    return None


@transaction.atomic
def handover_void_sign(*, entry: Entry, why: str, by: Person, signing: Signing, read: str = "") -> Entry:
    """Sign that a hand-over came to nothing: the engine or the part is here as before.

    Raises DomainError "not_correctable", "corrected_before", "text_missing" without a reason, "serial_taken" and
    "out_of_order" where it has come back since, "certificate_not_valid", and "text_changed".
    """
    Operator.objects.select_for_update().get(pk=entry.operator_id)
    if fault := handover_void_fault(entry):
        raise fault
    if not why.strip():
        raise DomainError("Say why it is void.", code="text_missing", fields={"why": "Say why."})
    certificate_check(by, signing.certificate, timezone.localdate())
    if entry.engine is not None:
        engine_stays(engine=entry.engine, reason=why, by=by)
    else:
        parts_stay(_lines_of(entry), why, by)
    at = timezone.now()
    kept = {name: value for name, value in entry.body.items() if name not in ("signed", "correction")}
    body = corrected_body(entry, kept | {"title": VOIDED}, how=VOID, why=why)
    text = signed_body(body, by, replace(signing, meaning=VOID_MEANING), at.replace(microsecond=0))
    text_check(text, read)
    scope = Scope(entry.engine, () if entry.component is None else (entry.component,))
    return _sealed(entry.operator_id, text, scope, by, at, completed_on=timezone.localdate(at), corrects=entry)


def _lines_of(entry: Entry) -> Iterator[PartMovement]:
    """Yield the lines by which a part, and those that sit in it, went when its record was handed over."""
    then = (entry.signed_at, entry.signed_at + timedelta(seconds=1))
    gone = lines_standing().filter(kind=PartMovement.Kind.LEFT, at__gte=then[0], at__lt=then[1])
    yield from gone.filter(Q(component=entry.component) | Q(remarks=f"In {entry.component}"))

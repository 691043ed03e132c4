"""Correcting what is signed: a new entry stands in the place of the old one, which stays readable beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.utils import timezone

from engines import actions as engine_actions
from engines.errors import DomainError
from engines.models import Run
from engines.times import Times
from inspections.actions import release_correct, run_judge
from inspections.closing import Closing
from inspections.models import Inspection, Release
from logbook.access import DIRECTOR
from logbook.actions import certificate_check, entry_add
from logbook.concerns import concerns_raise
from logbook.entry_bodies import corrected_body, release_facts, run_body
from logbook.ledger.answers import SUPERSEDED, VOID
from logbook.maintenance.releases import statement_under_rules
from logbook.models import Entry, Unsigned
from logbook.photos.facts import photos_part
from logbook.photos.queries import photos_of
from logbook.queries import run_entry_of
from logbook.supervising import supervision_check

if TYPE_CHECKING:
    from engines.evidence import RunFacts
    from inspections.models import Judgement
    from logbook.models import Person
    from logbook.signing import Signing

RUN_MEANING: Final = (
    "I confirm what was run, read and recorded, as it is corrected here. It approves nothing for return to service."
)
VOID_MEANING: Final = (
    "I confirm that this run never took place on this engine, and counts nothing. "
    "It approves nothing for return to service."
)
VOIDED: Final = "Void: this run never took place on this engine. It counts nothing."


@dataclass(frozen=True)
class Correcting:
    """Who corrects, why, how they sign, and the hash of the text that was read, where a person read one."""

    by: Person
    why: str
    signing: Signing
    read: str = ""


def run_correct_fault(run: Run, by: Person) -> DomainError | None:
    """Return why a person can't correct a run: it is void, or it is somebody else's to sign."""
    if run.is_void:
        return DomainError("This run is void; nothing of it is left to be corrected.", code="run_void")
    if by.pk != run.recorded_by_id and by.role != DIRECTOR:
        words = f"{run.recorded_by} recorded this run and corrects it; where they can't, the director does."
        return DomainError(words, code="not_yours")
    return None


@transaction.atomic
def run_corrected(*, run: Run, facts: RunFacts, correcting: Correcting) -> Entry:
    """State a run anew, judge it again beside the earlier judgement, and sign it in the place of its newest entry.

    What its inspections are stays as it is; a more severe one is opened. Raises what ``run_correct`` raises,
    "not_yours", "certificate_not_valid", and "text_changed" where the text is another than was read.
    """
    _check(run, correcting)
    supervision_check(facts, run.operator_id)
    engine_actions.run_correct(run=run, facts=facts, why=correcting.why, by=correcting.by)
    judgement = run_judge(run=run)
    concerns_raise(run, judgement, correcting.by)
    return _run_sign(run, judgement, correcting, how=SUPERSEDED)


@transaction.atomic
def run_voided(*, run: Run, correcting: Correcting) -> Entry:
    """State that a run never took place on its engine, and sign that; its inspections are for a person to close.

    Raises what ``run_void`` raises, "not_yours", "certificate_not_valid", and "text_changed".
    """
    _check(run, correcting)
    engine_actions.run_void(run=run, why=correcting.why, by=correcting.by)
    return _run_sign(run, run_judge(run=run), correcting, how=VOID)


def _check(run: Run, correcting: Correcting) -> None:
    if fault := run_correct_fault(run, correcting.by):
        raise fault
    certificate_check(correcting.by, correcting.signing.certificate, timezone.localdate())


def _run_sign(run: Run, judgement: Judgement, correcting: Correcting, *, how: str) -> Entry:
    earlier = run_entry_of(run)
    body = run_body(run, judgement)
    if how == VOID:
        body |= {"title": f"{run.get_kind_display()} void", "sentences": [VOIDED]}
    else:
        body |= {"title": f"{run.get_kind_display()} corrected"}
    Unsigned.objects.filter(run=run).delete()
    row = {"kind": body["kind"], "run": run, "completed_on": run.started_at.date()}
    meant = replace(
        correcting, signing=replace(correcting.signing, meaning=VOID_MEANING if how == VOID else RUN_MEANING)
    )
    return _sealed(earlier, corrected_body(earlier, body, how=how, why=correcting.why), meant, engine=run.engine, **row)


def _sealed(earlier: Entry | None, body: dict[str, Any], correcting: Correcting, **row: Any) -> Entry:
    by, signing, read = correcting.by, correcting.signing, correcting.read
    return entry_add(body=body, by=by, signing=signing, read=read, corrects=earlier, **row)


def first_of(entry: Entry) -> Entry:
    """Return the first of the entries that one corrects, itself where it corrects none."""
    while entry.corrects is not None:
        entry = entry.corrects
    return entry


def signed_fault(entry: Entry, by: Person) -> DomainError | None:
    """Return why a person can't correct what was signed: it is corrected already, or somebody else's."""
    if newer := Entry.objects.filter(corrects=entry).first():
        words = f"Entry {newer.number} stands in the place of this one; correct that."
        return DomainError(words, code="corrected_before")
    if by.pk != entry.signed_by_id and by.role != DIRECTOR:
        words = f"{entry.signed_by} signed this entry and corrects it; where they can't, the director does."
        return DomainError(words, code="not_yours")
    return None


def entry_correct_fault(entry: Entry, by: Person) -> DomainError | None:
    """Return why a person can't correct an entry with the sheet of an ended inspection."""
    fault = signed_fault(entry, by)
    is_elsewhere = entry.kind != Entry.Kind.INSPECTION
    if is_elsewhere and (fault is None or fault.code != "corrected_before"):
        words = f"An entry of the kind “{entry.get_kind_display()}” is not corrected on this sheet."
        return DomainError(words, code="not_correctable")
    return fault


@transaction.atomic
def inspection_corrected(*, entry: Entry, closing: Closing, correcting: Correcting, **said: str) -> Entry:
    """State anew what was done in an inspection, when, and who was given the list; how it ended stays as it was signed.

    ``said`` holds what the operator's rules ask for besides, as when it is signed first. Raises DomainError
    "corrected_before", "not_yours", "certificate_not_valid", "certificate_does_not_cover", "closing_refused" with what
    stands against it by field, "nothing_changed", "text_missing" without a reason, and "text_changed".
    """
    # Held before anything is asked, so that of two at one moment the second is told of the first.
    inspection = Inspection.objects.select_for_update().filter(pk=entry.inspection_id or 0).first()
    if fault := entry_correct_fault(entry, correcting.by):
        raise fault
    if not correcting.why.strip():
        raise DomainError("Say why it is corrected.", code="text_missing", fields={"why": "is missing"})
    certificate_check(correcting.by, correcting.signing.certificate, timezone.localdate())
    inspection, old = _release_of(inspection, entry)
    certificate, times = correcting.signing.certificate, Times(**entry.body["times"])
    statement = statement_under_rules(inspection, closing, certificate, said, times)
    release = release_correct(
        release=old, closing=closing, by=correcting.by, hours_s=times.run_time_s, statement=statement
    )
    kept = {name: value for name, value in entry.body.items() if name not in ("signed", "correction")}
    kept |= photos_part(photos_of("inspection", inspection))
    body = corrected_body(entry, kept | {"release": release_facts(release)}, how=SUPERSEDED, why=correcting.why)
    meant = replace(correcting, signing=replace(correcting.signing, meaning=release.statement))
    row = {"kind": entry.kind, "run": entry.run, "inspection": inspection, "completed_on": closing.completed_on}
    return _sealed(entry, body, meant, engine=entry.engine, **row)


def _release_of(inspection: Inspection | None, entry: Entry) -> tuple[Inspection, Release]:
    """Return the inspection and how it ended by an entry, as it stands."""
    standing = Release.objects.filter(inspection=inspection, corrected_by=None)
    found = standing.filter(statement=(entry.body.get("release") or {}).get("statement")).last()
    if inspection is None or found is None:
        raise DomainError("This entry is not corrected on this sheet.", code="not_correctable")
    return inspection, found

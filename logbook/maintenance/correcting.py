"""Correcting the entry of maintenance or of an opening balance: stated anew, and signed in its place."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from django.db import transaction
from django.utils import timezone

from engines.errors import DomainError
from logbook.access import DIRECTOR
from logbook.actions import certificate_check, entry_add, text_check
from logbook.corrections import Correcting
from logbook.entry_bodies import corrected_body
from logbook.ledger.answers import SUPERSEDED
from logbook.maintenance.actions import MAKERS, Act
from logbook.maintenance.rows import Work
from logbook.models import Entry, Person

CORRECTED: Final = (Work.Kind.WORK, Work.Kind.OPENING)
# What decides who may sign, how it ended, and what else follows from it: a new entry, not a correction.
FIXED: Final = frozenset(
    {"outcome", "is_major", "is_preventive", "is_required_item", "is_overhaul", "steps", "new_limits", "closes"}
)


def work_of(entry: Entry) -> Work | None:
    """Return the work that an entry, or the first of those that it corrects, was signed from."""
    first = entry
    while first.corrects is not None:
        first = first.corrects
    found = Work.objects.filter(entry=first, kind__in=CORRECTED)
    return found.select_related("engine__engine_type", "engine__operator", "opened_by", "changed_by").first()


def work_correct_fault(entry: Entry, by: Person) -> DomainError | None:
    """Return why a person can't correct an entry of work: it is corrected already, or somebody else's."""
    if newer := Entry.objects.filter(corrects=entry).first():
        words = f"Entry {newer.number} stands in the place of this one; correct that."
        return DomainError(words, code="corrected_before")
    if by.pk != entry.signed_by_id and by.role != DIRECTOR:
        words = f"{entry.signed_by} signed this entry and corrects it; where they can't, the director does."
        return DomainError(words, code="not_yours")
    return None


@transaction.atomic
def work_corrected(*, entry: Entry, facts: Mapping[str, Any], correcting: Correcting) -> Entry:
    """State maintenance or an opening balance anew; how it was released, and what it settled, stays as it was signed.

    An engine's times follow a corrected balance. Raises DomainError "not_correctable", "corrected_before", "not_yours",
    "text_missing" without a reason, "work_refused" with what stands against it by field, "certificate_not_valid",
    "certificate_does_not_cover", "nothing_changed", and "text_changed".
    """
    work = work_of(entry)
    if work is None:
        raise DomainError("This entry is not corrected on this sheet.", code="not_correctable")
    work = Work.objects.select_for_update(of=("self",)).select_related("engine__operator").get(pk=work.pk)
    if fault := work_correct_fault(entry, correcting.by):
        raise fault
    if not correcting.why.strip():
        raise DomainError("Say why it is corrected.", code="text_missing", fields={"why": "is missing"})
    certificate_check(correcting.by, correcting.signing.certificate, timezone.localdate())
    work.facts = work.facts | {name: value for name, value in facts.items() if name not in FIXED}
    has_done_before = bool((entry.body.get("work") or {}).get("signer_has_done_before"))
    made = MAKERS[work.kind](Act(work, correcting.by, correcting.signing, has_done_before, corrects=entry))
    body = corrected_body(entry, _kept(made.body, entry.body), how=SUPERSEDED, why=correcting.why)
    if not body["correction"]["changes"]:
        raise DomainError("Nothing is stated otherwise than before.", code="nothing_changed")
    newer = entry_add(
        kind=entry.kind,
        engine=work.engine,
        completed_on=made.completed_on,
        body=body,
        by=correcting.by,
        signing=replace(correcting.signing, meaning=made.meaning),
        corrects=entry,
    )
    text_check(newer.body, correcting.read)
    made.effect(newer)
    work.save(update_fields=["facts"])
    return newer


def _kept(body: dict[str, Any], was: Mapping[str, Any]) -> dict[str, Any]:
    """Return a body with what was settled when it was signed first, and who wrote it down then."""
    body = body | {"recorded": was.get("recorded")}
    if "work" in body:
        body["work"] = body["work"] | {"closes": (was.get("work") or {}).get("closes", [])}
    return body

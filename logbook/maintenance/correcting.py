"""Correcting an entry of maintenance, inspection, hour meter or opening balance: stated anew, signed in its place."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Operator
from logbook.actions import certificate_check, entry_add
from logbook.corrections import Correcting, first_of, signed_fault
from logbook.entry_bodies import corrected_body
from logbook.ledger.answers import SUPERSEDED
from logbook.maintenance.actions import MAKERS, Act
from logbook.maintenance.received import received_kept, received_work
from logbook.maintenance.rows import Work
from logbook.models import Entry

# What decides who may sign, how it ended, and what else follows from it: a new entry, not a correction.
FIXED: Final = frozenset(
    {
        *(
            "outcome",
            "is_major",
            "is_preventive",
            "is_required_item",
            "required_why",
            "is_overhaul",
            "steps",
            "new_limits",
            "closes",
        ),
        *("inspection_kind", "is_approved", "again"),
    }
)
# What a correction states anew of a line of a discrepancy list; that it is deferred or stands open stays.
OF_LINES: Final = ("text", "basis", "deferral", "placard_by", "placard_on")


# What an entry settled of earlier discrepancies, by the part of its body.
SETTLED: Final = {"work": "closes", "scheduled": "again"}


def work_of(entry: Entry) -> Work | None:
    """Return the work that an entry, or the first of those that it corrects, was signed from."""
    first = first_of(entry)
    about = ("engine__engine_type", "engine__operator", "opened_by", "changed_by")
    return Work.objects.filter(entry=first).select_related(*about).first() or received_work(first)


@transaction.atomic
def work_corrected(*, entry: Entry, facts: Mapping[str, Any], correcting: Correcting) -> Entry:
    """State signed work anew; how it was released, and what it settled, stays as it was signed.

    An engine's times follow a corrected balance, its hour meter a corrected change of it, a list of discrepancies what
    is stated anew of its lines, and runs that a calibration read are read anew. Raises DomainError "not_correctable",
    "corrected_before", "not_yours", "text_missing" without a reason, "work_refused" with what stands against it by
    field, "certificate_not_valid", "certificate_does_not_cover", "nothing_changed", and "text_changed".
    """
    work = work_of(entry)
    if work is None:
        raise DomainError("This entry is not corrected on this sheet.", code="not_correctable")
    work = _held(work)
    if fault := signed_fault(entry, correcting.by):
        raise fault
    if not correcting.why.strip():
        raise DomainError("Say why it is corrected.", code="text_missing", fields={"why": "is missing"})
    certificate_check(correcting.by, correcting.signing.certificate, timezone.localdate())
    work.facts = _restated(work.facts, facts)
    has_done_before = bool((entry.body.get("work") or {}).get("signer_has_done_before"))
    made = MAKERS[work.kind](Act(work, correcting.by, correcting.signing, has_done_before, corrects=entry))
    kept = _kept(made.body, entry.body, by_signer=not work.listed("performers")) | received_kept(work, made.body, entry)
    body = corrected_body(entry, kept, how=SUPERSEDED, why=correcting.why)
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
        read=correcting.read,
    )
    made.effect(newer)
    work.save(update_fields=["facts"])
    return newer


def _held(work: Work) -> Work:
    """Return work held until the transaction ends; of a received record it is kept from its first correction on."""
    if work._state.adding:
        operator = Operator.objects.select_for_update().get(pk=work.operator_id)
        work.number = (operator.work.aggregate(last=Max("number"))["last"] or 0) + 1
        work.save(force_insert=True)
    return Work.objects.select_for_update(of=("self",)).select_related("engine__operator").get(pk=work.pk)


def _restated(was: Mapping[str, Any], facts: Mapping[str, Any]) -> dict[str, Any]:
    """Return the facts of work as they are to stand."""
    stated = dict(was) | {name: value for name, value in facts.items() if name not in FIXED}
    if was.get("found"):
        lines = zip(was["found"], facts.get("found") or was["found"], strict=True)
        stated["found"] = [old | {name: new[name] for name in OF_LINES if name in new} for old, new in lines]
    return stated


def _kept(body: dict[str, Any], was: Mapping[str, Any], *, by_signer: bool) -> dict[str, Any]:
    """Return a body with what was settled when it was signed first, who wrote it down then, and who did it."""
    body = body | {"recorded": was.get("recorded")}
    for name, settled in SETTLED.items():
        if name in body:
            before = was.get(name) or {}
            body[name] = body[name] | {settled: before.get(settled, [])}
            if by_signer:
                body[name] |= {"performed_by": before.get("performed_by", body[name]["performed_by"])}
    return body

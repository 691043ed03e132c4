"""Work from its first word to its signature; signing writes the entry and all that follows from it together."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine, MeterChange, Operator
from logbook.access import DIRECTOR
from logbook.actions import certificate_check, entry_add
from logbook.maintenance import bodies, calibrating, reading
from logbook.maintenance.discrepancies import (
    again_of,
    closes_of,
    condition_add,
    conditions_of,
    lines_add,
    lines_restate,
    still_open,
)
from logbook.maintenance.locking import work_locked
from logbook.maintenance.looks import is_required, look_faults, mark_check
from logbook.maintenance.queries import overdue_on
from logbook.maintenance.rows import Discrepancy, Work
from logbook.maintenance.rules import rules_needed
from logbook.models import Certificate, Entry, Person
from logbook.people import operator_of
from logbook.signing import Signing
from logbook.statements.balances import meter_faults, opening_faults
from logbook.statements.coverage import coverage_fault, hands_faults
from logbook.statements.provisional import provisional_faults
from logbook.statements.required import inspection_faults, overdue_words, work_faults
from logbook.statements.words import overhaul_lacks, zero_time_faults

CONFIRMS: Final = "I confirm what was read and recorded here. It approves nothing for return to service."
CERTIFIED: Final = (Work.Kind.WORK, Work.Kind.INSPECTION)


@dataclass(frozen=True)
class Made:
    """What signing makes of work: the entry's kind, day, body and meaning, and what is done once it is there."""

    kind: str
    completed_on: date
    body: dict[str, Any]
    meaning: str
    effect: Callable[[Entry], None]


@dataclass(frozen=True)
class Act:
    """Work that somebody is about to sign."""

    work: Work
    by: Person
    signing: Signing
    has_done_before: bool = False
    corrects: Entry | None = None
    overdue_read: Sequence[str] | None = None

    @property
    def overdue(self) -> Sequence[str]:
        """Return what is overdue on the engine, in words; nothing that came due since stands against a correction."""
        if self.corrects is not None:
            return ()
        return overdue_on(self.work.engine) if self.overdue_read is None else self.overdue_read


@transaction.atomic
def work_open(*, engine: Engine, kind: str, facts: dict[str, Any], by: Person) -> Work:
    """Begin work on an engine, as it is written so far."""
    operator = Operator.objects.select_for_update().get(pk=operator_of(by))
    last = operator.work.aggregate(last=Max("number"))["last"] or 0
    return Work.objects.create(
        operator=operator, number=last + 1, engine=engine, kind=kind, facts=facts, opened_by=by, changed_by=by
    )


@transaction.atomic
def work_change(*, work: Work, facts: dict[str, Any], by: Person) -> Work:
    """Keep work as it is written now; a second look at what it was before no longer counts.

    Raises DomainError "work_closed", and "mark_stays" where the mark of a required inspection item would go silently.
    """
    work = work_locked(work)
    lifted = mark_check(work, facts, by)
    work.facts, work.changed_by, work.second_by, work.second_at = facts, by, None, None
    work.save(update_fields=["facts", "changed_by", "changed_at", "second_by", "second_at"])
    if lifted is not None:
        lifted.save()
    return work


@transaction.atomic
def work_drop(*, work: Work, why: str, by: Person) -> Work:
    """Drop work that nobody is to sign; it stays readable.

    Raises DomainError "work_closed", "text_missing" without a reason, "refusal_stands" for anybody but the director
    where an inspector did not accept it.
    """
    work = work_locked(work)
    if by.role != DIRECTOR and (refused := look_faults(work)):
        words = f"{refused['second']} Only the director of maintenance drops it as it is."
        raise DomainError(words, code="refusal_stands")
    if not why.strip():
        raise DomainError("Say why it is dropped.", code="text_missing", fields={"why": "Say why it is dropped."})
    work.state, work.dropped_why, work.changed_by = Work.State.DROPPED, why.strip(), by
    work.save(update_fields=["state", "dropped_why", "changed_by", "changed_at"])
    return work


@transaction.atomic
def work_sign(*, work: Work, by: Person, signing: Signing, read: str = "", has_done_before: bool = False) -> Entry:
    """Sign work; ``read`` is the hash of the text that was read, where a person read one.

    Raises DomainError "work_closed", "work_refused" with what stands against it by field, "rules_missing",
    "certificate_not_valid", "certificate_does_not_cover", "balance_signed", and "text_changed".
    """
    act = Act(work_locked(work), by, signing, has_done_before)
    _refuse(look_faults(act.work))
    marked = is_required(act.work)
    made = MAKERS[act.work.kind](act)
    entry = entry_add(
        kind=made.kind,
        engine=act.work.engine,
        completed_on=made.completed_on,
        body=made.body,
        by=by,
        signing=replace(signing, meaning=made.meaning),
        read=read,
    )
    made.effect(entry)
    act.work.entry, act.work.state = entry, Work.State.SIGNED
    act.work.facts |= {"is_required_item": True} if marked else {}
    act.work.save(update_fields=["entry", "state", "facts"])
    return entry


def _refuse(faults: dict[str, str]) -> None:
    if faults:
        raise DomainError(" ".join(dict.fromkeys(faults.values())), code="work_refused", fields=faults)


def _certificate(act: Act, on: date) -> Certificate:
    certificate = act.signing.certificate
    if certificate is None:
        words = "Choose the certificate by which you sign."
        raise DomainError(words, code="work_refused", fields={"certificate": words})
    certificate_check(act.by, certificate, on)
    ruleset = rules_needed(act.work.operator_id).ruleset
    if fault := coverage_fault(certificate.covers, reading.act_of(act.work), ruleset):
        raise DomainError(fault, code="certificate_does_not_cover", fields={"certificate": fault})
    return certificate


def _work_faults(act: Act) -> dict[str, str]:
    said = {"has_done_before": act.has_done_before, "is_required_item": is_required(act.work)}
    facts = reading.work_facts(act.work, overdue=act.overdue, **said)
    ruleset = rules_needed(act.work.operator_id).ruleset
    faults = work_faults(facts, ruleset=ruleset, signer=str(act.by), today=timezone.localdate())
    provisional = reading.provisional_of(act.work)
    return faults | (provisional_faults(provisional) if provisional else {})


def _work_made(act: Act) -> Made:
    work = act.work
    _refuse(_work_faults(act))
    on = work.day("completed_on") or timezone.localdate()
    certificate, rules, closes = _certificate(act, on), rules_needed(work.operator_id), closes_of(work)
    hours_s = bodies.times_on(work.engine, on).time_in_service_s
    statement = _statement(act, certificate, hours_s)
    part = bodies.work_part(work, act.by, has_done_before=act.has_done_before, closes=closes)
    release = bodies.release_of(work, rules, act.by, certificate, statement)
    body = bodies.common(work, on) | {"kind": "work", "work": part, "release": release}
    body["title"] = bodies.heading_of(work)

    def effect(entry: Entry) -> None:
        condition = conditions_of(work, release, on)
        if act.corrects is not None:
            lines_restate(entry, work, condition)
        else:
            lines_add(entry, work, closes=closes)
            condition_add(entry, work, condition)
        if work.facts.get("is_overhaul") and not overhaul_lacks(reading.overhaul_of(work.facts)):
            Engine.objects.filter(pk=work.engine_id).update(overhauled_on=on)

    return Made(Entry.Kind.WORK, on, body, statement, effect)


def _statement(act: Act, certificate: Certificate, hours_s: int) -> str:
    try:
        return bodies.statement_of(act.work, rules_needed(act.work.operator_id), act.by, certificate, hours_s)
    except ValueError as error:
        raise DomainError(str(error), code="work_refused", fields={"statement": str(error)}) from error


def _hours_of(work: Work) -> int | None:
    """Return the total time in service that an inspection is entered at: from the log, or typed with a reason. [s]"""
    on = work.day("completed_on")
    if work.said("hours"):
        return reading.hours_typed(work) if work.said("hours_why") else None
    return bodies.times_on(work.engine, on).time_in_service_s if on else None


def _approval_faults(act: Act) -> dict[str, str]:
    """Return what of the engine as it is now stands against approving it."""
    faults, work = {}, act.work
    if left := still_open(work.engine):
        faults["open"] = f"Still open: {'; '.join(map(str, left))}."
    overdue = act.overdue if not work.said("justification") else []
    if overdue:
        faults["justification"] = overdue_words(overdue)
    return faults


def _inspection_faults(act: Act) -> dict[str, str]:
    work, is_new = act.work, act.corrects is None
    deferred = {str(d.pk): str(d) for d in again_of(work.engine)} if is_new else {}
    facts = reading.inspection_facts(work, hours_s=_hours_of(work), deferred=deferred)
    faults = inspection_faults(facts, outcome=reading.outcome_of(work), today=timezone.localdate())
    if work.said("hours") and not work.said("hours_why"):
        faults["hours"] = "The time in service is another than the log's: say why."
    if is_new and facts.is_approved:
        faults |= _approval_faults(act)
    return faults | hands_faults(str(act.by), reading.hands_of(work), is_required_item=is_required(work))


def _again(act: Act) -> list[tuple[Discrepancy, str, str]]:
    """Return what was deferred before, with answer and words; a correction leaves that as it was signed."""
    if act.corrects is not None:
        return []
    said = act.work.facts.get("again") or {}
    return [(d, said[str(d.pk)]["answer"], said[str(d.pk)].get("words") or "") for d in again_of(act.work.engine)]


def _inspection_made(act: Act) -> Made:
    work = act.work
    _refuse(_inspection_faults(act))
    on, hours_s = work.day("completed_on") or timezone.localdate(), _hours_of(work) or 0
    certificate, rules = _certificate(act, on), rules_needed(work.operator_id)
    statement = _statement(act, certificate, hours_s)
    found, again = reading.found_of(work), _again(act)
    part = bodies.inspection_part(work, act.by, hours_s=hours_s, found=found, again=again)
    release = bodies.release_of(work, rules, act.by, certificate, statement)
    body = bodies.common(work, on) | {"kind": "inspection", "scheduled": part, "release": release}
    body["title"] = work.said("inspection")

    def effect(entry: Entry) -> None:
        if act.corrects is not None:
            lines_restate(entry, work, found)
        else:
            lines_add(entry, work, found=found, again=again)

    return Made(Entry.Kind.INSPECTION, on, body, statement, effect)


def _meter_at(work: Work) -> datetime:
    """Return when a meter was changed; now, which the faults refuse, while nobody said."""
    return datetime.fromisoformat(work.said("at")) if work.said("at") else timezone.now()


def _meter_faults(act: Act) -> dict[str, str]:
    at = _meter_at(act.work)
    change = reading.meter_of(act.work, timezone.localdate(at) if act.work.said("at") else None)
    late = {"at": "That moment is still to come."} if at > timezone.now() else {}
    others = MeterChange.objects.filter(engine=act.work.engine_id, at=at, replaced_by=None)
    if act.work.said("at") and any(other != _meter_standing(act) for other in others):
        late["at"] = "At that moment another change of this meter is recorded; give when this one was made."
    return meter_faults(change, timezone.localdate()) | late


def _meter_standing(act: Act) -> MeterChange | None:
    """Return the change of a meter that a correction states anew; None where nothing is corrected."""
    if act.corrects is None:
        return None
    was = act.corrects.body["meter"]
    figures = {name: Decimal(was[name]) for name in ("old_h", "new_h")}
    standing = MeterChange.objects.filter(engine=act.work.engine_id, replaced_by=None, **figures)
    return standing.filter(at=datetime.fromisoformat(was["at"])).first()


def _meter_made(act: Act) -> Made:
    work, at = act.work, _meter_at(act.work)
    _refuse(_meter_faults(act))
    on = timezone.localdate(at)
    certificate_check(act.by, act.signing.certificate, on)
    change = reading.meter_of(work, on)
    body = bodies.common(work, on) | {"kind": "meter_change", "meter": bodies.meter_part(work, change)}

    def effect(entry: Entry) -> None:
        kept = {"old_h": change.old, "new_h": change.new, "why": change.why}
        MeterChange.objects.create(engine=work.engine, at=at, by=act.by, replaces=_meter_standing(act), **kept)

    return Made(Entry.Kind.METER_CHANGE, on, body, CONFIRMS, effect)


def _opening_faults(act: Act) -> dict[str, str]:
    faults = opening_faults(reading.opening_of(act.work), timezone.localdate())
    zero = reading.zero_of(act.work)
    return faults | (zero_time_faults(zero) if zero else {})


def _opening_made(act: Act) -> Made:
    work = act.work
    _refuse(_opening_faults(act))
    signed = Entry.objects.filter(engine=work.engine_id, kind=Entry.Kind.OPENING).first()
    if signed is not None and act.corrects is None:
        words = f"The opening balance of {work.engine} is signed in entry {signed.number}; correct that entry."
        raise DomainError(words, code="balance_signed")
    opening, on = reading.opening_of(work), work.day("on") or timezone.localdate()
    certificate_check(act.by, act.signing.certificate, on)
    part = bodies.opening_part(work, opening)
    before = bodies.common(work, on)
    body = before | {"kind": "opening", "opening": part, "times": before["times"] | dict(opening.used)}

    def effect(entry: Entry) -> None:
        columns = {f"opening_{name}": amount for name, amount in opening.used.items()}
        Engine.objects.filter(pk=work.engine_id).update(**columns)

    return Made(Entry.Kind.OPENING, on, body, CONFIRMS, effect)


def _calibration_faults(act: Act) -> dict[str, str]:
    return calibrating.faults_of(act.work, timezone.localdate())


def _calibration_made(act: Act) -> Made:
    work = act.work
    _refuse(_calibration_faults(act))
    on = work.day("on") or timezone.localdate()
    certificate_check(act.by, act.signing.certificate, on)
    body = bodies.common(work, on) | {"kind": "calibration", "calibration": calibrating.part_of(work)}

    def effect(entry: Entry) -> None:
        replaces = calibrating.standing_of(work) if act.corrects is not None else None
        row = calibrating.keep(work, act.by, replaces)
        if replaces is not None:
            calibrating.read_anew(row, entry)

    return Made(Entry.Kind.CALIBRATION, on, body, CONFIRMS, effect)


FAULTS: Final[dict[str, Callable[[Act], dict[str, str]]]] = {
    Work.Kind.WORK: _work_faults,
    Work.Kind.INSPECTION: _inspection_faults,
    Work.Kind.METER: _meter_faults,
    Work.Kind.OPENING: _opening_faults,
    Work.Kind.CALIBRATION: _calibration_faults,
}
MAKERS: Final[dict[str, Callable[[Act], Made]]] = {
    Work.Kind.WORK: _work_made,
    Work.Kind.INSPECTION: _inspection_made,
    Work.Kind.METER: _meter_made,
    Work.Kind.OPENING: _opening_made,
    Work.Kind.CALIBRATION: _calibration_made,
}


def faults_shown(work: Work, by: Person, overdue: Sequence[str] | None = None) -> list[str]:
    """Return what stands against signing work now, in sentences, each once; ``overdue`` where that is read already."""
    try:
        act = Act(work, by, Signing("", ""), has_done_before=True, overdue_read=overdue)
        faults = FAULTS[work.kind](act) | look_faults(work)
    except DomainError as error:
        return [error.message]
    return list(dict.fromkeys(faults.values()))


def draft_body(work: Work, by: Person) -> dict[str, Any]:
    """Return what is peculiar to work as it is written so far, as its entry would hold it."""
    on = work.day("completed_on") or work.day("on") or timezone.localdate()
    if work.kind == Work.Kind.WORK:
        return {"work": bodies.work_part(work, by, has_done_before=False, closes=closes_of(work))}
    if work.kind == Work.Kind.INSPECTION:
        hours_s = _hours_of(work) or bodies.times_on(work.engine, on).time_in_service_s
        return {"scheduled": bodies.inspection_part(work, by, hours_s=hours_s, found=reading.found_of(work), again=())}
    if work.kind == Work.Kind.METER:
        return {"meter": bodies.meter_part(work, reading.meter_of(work, on))}
    if work.kind == Work.Kind.CALIBRATION:
        return {"calibration": calibrating.part_of(work)}
    return {"opening": bodies.opening_part(work, reading.opening_of(work))}

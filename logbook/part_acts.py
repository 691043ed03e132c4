"""What is done to parts and their limits, signed: each act writes its entry in the same transaction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any, Final

from django.db import transaction
from django.db.models import Model, Q
from django.utils import timezone

from engines import actions
from engines.actions.owners import Return, part_return
from engines.actions.parts import Fitting, Removal
from engines.counters import Counter
from engines.errors import DomainError
from engines.models import Component, Engine, PartDone, PartLimit, PartMovement, PartStay
from engines.part_queries import NEWEST_FIRST, fitted_at, lines_standing
from engines.queries import engine_times, revision_in_force
from engines.times import Times
from logbook.actions import certificate_check, text_check, texts_check
from logbook.entry_bodies import corrected_body
from logbook.first_start_asking import asked_by_part
from logbook.ledger.answers import SUPERSEDED, VOID
from logbook.ledger.store import entry_seal
from logbook.models import Entry, PartStatement, Person
from logbook.part_words import control_words, life_lines, life_words, limit_words, used_words
from logbook.printing.wording import moment_text
from logbook.signing import Signing, signed_body

CONFIRMS: Final = "I confirm what was done and recorded here. It approves nothing for return to service."
Rows = Sequence[tuple[str, str]]
# Which kind of entry a line of the ledger makes.
KINDS: Final[dict[str, Entry.Kind]] = {
    "fitted": Entry.Kind.PART_FITTED,
    "removed": Entry.Kind.PART_REMOVED,
    "left": Entry.Kind.PART_REMOVED,
    "returned": Entry.Kind.HANDOVER,
}


NAMES: Final[dict[type[Model], str]] = {PartMovement: "movement", PartDone: "done", PartLimit: "limit"}


@dataclass(frozen=True)
class PartAct:
    """What an entry about a part says: its kind and title, when it was so, and what was done, line by line.

    ``states`` is the row that it states; what ``corrects`` another says how and why. ``kept`` is what else stands in
    its body, as it stood in the entry that it corrects.
    """

    kind: str
    title: str
    at: datetime
    rows: Rows
    engine: Engine | None = None
    corrects: Entry | None = None
    how: str = SUPERSEDED
    why: str = ""
    states: PartMovement | PartDone | PartLimit | None = None
    kept: Mapping[str, Any] = field(default_factory=dict)


def part_body(component: Component, act: PartAct) -> dict[str, Any]:
    """Return the body of an entry about a part, without its signature."""
    operator = component.operator
    part = [("Part number", component.part_number), ("Serial", component.serial), ("What it is", component.description)]
    return {
        "kind": act.kind,
        "title": act.title,
        **operator.named,
        "engine": act.engine.named if act.engine else {},
        "times": vars(engine_times(act.engine, act.at)) if act.engine else {},
        "completed_on": timezone.localdate(act.at).isoformat(),
        "part": [list(row) for row in (*part, *act.rows)],
        **act.kept,
    }


def act_seal(component: Component, act: PartAct, by: Person, signing: Signing, read: str) -> Entry:
    """Sign the entry of an act; it is refused where the certificate or the text is another.

    Raises DomainError "certificate_not_valid", "text_changed", and "nothing_changed" for a correction of nothing.
    """
    day = timezone.localdate(act.at)
    certificate_check(by, signing.certificate, timezone.localdate() if act.corrects else day)
    at = timezone.now().replace(microsecond=0)
    body = part_body(component, act)
    if act.corrects is not None:
        body = corrected_body(act.corrects, body, how=act.how, why=act.why)
    body = signed_body(body, by, signing, at)
    text_check(body, read)
    entry = entry_seal(
        operator_id=component.operator_id,
        body=body,
        kind=act.kind,
        engine=act.engine,
        component=component,
        corrects=act.corrects,
        completed_on=day,
        signed_by=by,
        signed_at=at,
    )
    if act.states is not None:
        PartStatement.objects.create(entry=entry, **{NAMES[type(act.states)]: act.states})
    return entry


@transaction.atomic
def part_add_sign(*, by: Person, signing: Signing, read: str = "", **facts: Any) -> Entry:
    """Enter a part with what it brought, and sign its opening balance."""
    component = actions.component_add(operator=by.operator, **facts)  # type: ignore[arg-type]
    return act_seal(component, opened(component), by, signing, read)


def opened(component: Component) -> PartAct:
    """Return what the entry of a part's opening balance says."""
    reconstructed = "yes, records were lost" if component.opening_is_reconstructed else "no"
    rows = (
        ("Made on", component.made_on.isoformat() if component.made_on else "not recorded"),
        ("Used when its record here began", life_words(component.brought)),
        ("Where these figures come from", component.opening_basis),
        ("Document", component.opening_document),
        ("Reconstructed", reconstructed),
    )
    return PartAct(Entry.Kind.OPENING, f"Opening balance of {component}", timezone.now(), rows)


@transaction.atomic
def part_fit_sign(*, component: Component, fitting: Fitting, by: Person, signing: Signing, read: str = "") -> Entry:
    """Fit a part, and sign that it was fitted."""
    line = actions.part_fit(component=component, by=by, **vars(fitting))
    asked_by_part(line, _host_of(line), by)
    return act_seal(component, moved(Entry.Kind.PART_FITTED, line), by, signing, read)


@transaction.atomic
def part_remove_sign(*, component: Component, removal: Removal, by: Person, signing: Signing, read: str = "") -> Entry:
    """Remove a part, and sign that it was removed, by which method it is controlled."""
    line = actions.part_remove(component=component, by=by, **vars(removal))
    return act_seal(component, moved(Entry.Kind.PART_REMOVED, line), by, signing, read)


@transaction.atomic
def part_move_sign(
    *, component: Component, removal: Removal, fitting: Fitting, by: Person, signing: Signing, read: str = ""
) -> tuple[Entry, Entry]:
    """Move a part from where it is fitted to another place in one act, and sign that it was removed and fitted.

    ``read`` is the hash of both texts, which are read together; both are signed or neither is.
    """
    removed, fitted = actions.part_move(component=component, removal=removal, fitting=fitting, by=by)
    asked_by_part(fitted, _host_of(fitted), by)
    first = act_seal(component, moved(Entry.Kind.PART_REMOVED, removed), by, signing, "")
    second = act_seal(component, moved(Entry.Kind.PART_FITTED, fitted), by, signing, "")
    texts_check([first.body, second.body], read)
    return first, second


@transaction.atomic
def part_send_sign(
    *, component: Component, to: str, at: datetime, control: str, by: Person, signing: Signing, read: str = ""
) -> Entry:
    """Record that a part went to another owner, and sign it."""
    line = actions.part_send(component=component, to=to, at=at, control=control, by=by)
    return act_seal(component, moved(Entry.Kind.PART_REMOVED, line), by, signing, read)


@transaction.atomic
def part_return_sign(*, component: Component, told: Return, by: Person, signing: Signing, read: str = "") -> Entry:
    """Record that a part came back from another owner, and sign it."""
    line = part_return(component=component, told=told, by=by)
    return act_seal(component, told_of(line), by, signing, read)


@transaction.atomic
def part_strike_sign(*, component: Component, reason: str, by: Person, signing: Signing, read: str = "") -> Entry:
    """Strike the newest line of a part's ledger, which was wrong, and sign that; its entry is superseded.

    Raises DomainError "not_fitted" where there is no line, "handed_over" for one by which its record went, and what
    ledger_correct raises.
    """
    line = lines_standing().filter(component=component).order_by(*NEWEST_FIRST).first()
    if line is None:
        raise DomainError(f"{component} has no line that could be struck.", code="not_fitted")
    if handed := handed_with(line):
        words = f"It went when a record was handed over, by entry {handed.number}; make that void."
        raise DomainError(words, code="handed_over")
    kind, told = KINDS[line.kind], told_of(line)
    actions.ledger_correct(component=component, struck=[line.pk], reason=reason, lines=[], by=by)
    rows = [("What was done", "the line below was struck, because it was wrong"), ("Why", reason.strip()), *told.rows]
    told = replace(told, title=f"Struck: {told.title}", at=timezone.now(), rows=rows)
    act = replace(told, corrects=_entry_of(line, kind), how=VOID, why=reason)
    return act_seal(component, act, by, signing, read)


def handed_with(line: PartMovement) -> Entry | None:
    """Return the entry by which a record was handed over, where a part went with it by a line."""
    if line.kind != PartMovement.Kind.LEFT:
        return None
    then = {"signed_at__lte": line.at, "signed_at__gt": line.at - timedelta(seconds=1)}
    about = {"operator": line.component.operator_id, "kind": Entry.Kind.HANDOVER, "corrected_by": None}
    return Entry.objects.filter(corrects=None, **about, **then).first()


def _entry_of(line: PartMovement, kind: str) -> Entry | None:
    """Return the entry that recorded a line, unless it was corrected before or there is none."""
    stated = Entry.objects.filter(part_statements__movement=line, corrected_by=None).order_by("-number").first()
    if stated is not None:
        return stated
    day = timezone.localdate(line.at)
    signed = Entry.objects.filter(component=line.component_id, kind=kind, completed_on=day, corrected_by=None)
    return signed.filter(corrects=None).order_by("-number").first()


@transaction.atomic
def limit_sign(*, component: Component, limit: PartLimit, by: Person, signing: Signing, read: str = "") -> Entry:
    """Sign a limit that was entered or replaced just now."""
    return act_seal(component, limited(limit), by, signing, read)


def limited(limit: PartLimit) -> PartAct:
    """Return what the entry of a limit says; one that was stated anew replaces what its first statement did."""
    before, stated = limit.replaces, limit
    while stated.is_correction and before is not None:
        stated, before = before, before.replaces
    rows = (
        ("For", f"part number {limit.part_number}, {f'serial {limit.serial}' if limit.serial else 'every serial'}"),
        ("Limit", limit_words(limit)),
        ("Source", f"{limit.source}, revision {limit.source_revision}"),
        (
            "Replaces",
            f"{limit_words(before)}; {before.source}, revision {before.source_revision}" if before else "none",
        ),
    )
    title = f"{limit.get_kind_display()} of {limit.part_number} {'replaced' if before else 'entered'}"
    return PartAct(Entry.Kind.PART_LIMIT, title, timezone.now(), rows, states=limit)


@transaction.atomic
def part_done_sign(*, done: PartDone, by: Person, signing: Signing, read: str = "") -> Entry:
    """Sign that an interval of a part was met."""
    return act_seal(done.component, met(done), by, signing, read)


def met(done: PartDone) -> PartAct:
    """Return what the entry of an interval that was met says."""
    is_overhaul = done.limit.kind == PartLimit.Kind.OVERHAUL
    rows = [
        ("Completed at", said_at(done.at)),
        ("Interval", limit_words(done.limit)),
        ("Worked to", done.reference),
    ]
    if is_overhaul:
        steps = "disassembled, cleaned, inspected, repaired as necessary, reassembled and tested (14 CFR 43.2)"
        rows += [("Done", steps), ("Test", done.tested_by)]
    title = f"{done.component} {'overhauled' if is_overhaul else 'inspected'}"
    return PartAct(Entry.Kind.PART_DONE, title, done.at, rows, engine_then(done.component, done.at), states=done)


def told_of(line: PartMovement) -> PartAct:
    """Return what the entry of any line of the ledger says."""
    return _returned(line) if line.kind == PartMovement.Kind.RETURNED else moved(KINDS[line.kind], line)


def moved(kind: str, line: PartMovement) -> PartAct:
    """Return what the entry of a line of the ledger says."""
    word = {"fitted": "fitted", "removed": "removed", "left": "sent to another owner"}[line.kind]
    engine = line.engine or (engine_then(line.component, line.at) if line.parent else None)
    rows = [("What was done", line.get_kind_display()), ("When", said_at(line.at))]
    if line.kind != PartMovement.Kind.LEFT:
        host = f"engine {line.engine.serial}" if line.engine else f"part {line.parent}"
        rows += [("Fitted to" if line.kind == PartMovement.Kind.FITTED else "Removed from", host)]
        rows += [("Place", line.position)]
    if line.kind != PartMovement.Kind.FITTED:
        rows += [("Where it is now", line.place), ("Control method", control_words(line))]
    else:
        rows += fitted_rows(line)
    rows += [("Part used since new", used_words(line.life))]
    rows += [(f"Life, {name}", text) for name, text in life_lines(line.life)]
    rows += [("Remarks", line.remarks)] if line.remarks else []
    return PartAct(kind, f"{line.component} {word}", line.at, rows, engine, states=line)


def fitted_rows(line: PartMovement) -> list[tuple[str, str]]:
    """Return what is said of a fitted part alone: its release certificate, and how it was controlled before."""
    certificate = [("Released on certificate", line.release_certificate)] if line.release_certificate else []
    control = [("Control method while it was off", control_words(line))] if line.control else []
    return [*certificate, *control]


def said_at(at: datetime) -> str:
    """Return a moment as entries about parts say it."""
    return moment_text(timezone.localtime(at))


def engine_then(component: Component, at: datetime) -> Engine | None:
    """Return the engine that a part was on at a moment, by way of modules too, the moment it came off included."""
    stays = PartStay.objects.filter(
        Q(end__at__isnull=True) | Q(end__at__gte=at), component=component, begin__at__lte=at
    )
    found = stays.select_related("engine__engine_type").order_by("begin__at").last()
    return found.engine if found is not None else None


def _returned(line: PartMovement) -> PartAct:
    rows = [
        ("What was done", line.get_kind_display()),
        ("When", said_at(line.at)),
        ("From", line.place),
        ("By which record", line.remarks),
        ("What came with it", control_words(line)),
        ("Part used since new", used_words(line.life)),
        ("Of that while it was away", life_words(_used_away(line))),
        *((f"Life, {name}", text) for name, text in life_lines(line.life)),
    ]
    return PartAct(KINDS[line.kind], f"{line.component} came back from another owner", line.at, rows, states=line)


def _used_away(line: PartMovement) -> Times:
    """Return what a part used while it was with the owner from whom it came back by a line."""
    return next((stay.used for stay in line.component.aways if stay.end == line.at), Times())


def _host_of(line: PartMovement) -> Engine | None:
    """Return the engine that a line fits a part to, by way of modules too."""
    return line.engine or engine_of(line.parent)  # type: ignore[arg-type]


def engine_of(component: Component) -> Engine | None:
    """Return the engine that a part is on now, by way of modules too."""
    line = fitted_at(component)
    if line is None:
        return None
    return _host_of(line)


def further_of(engine: Engine | None) -> tuple[Counter, ...]:
    """Return what the type of an engine counts besides the standard counters."""
    return revision_in_force(engine.engine_type, timezone.localdate()).data.counters if engine else ()

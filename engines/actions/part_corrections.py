"""Correcting what is recorded of parts: stated anew beside what was stated, with where they ran worked out again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import IntegrityError, transaction
from django.utils import timezone

from engines.actions.limits import LimitFacts, limit_check
from engines.actions.owners import Return, used_less
from engines.actions.parts import Fitting, Removal, certificate_check, control_fault, life_told, place_check
from engines.actions.runs import moment_fault
from engines.actions.stays import ledgers_of, point_at, stays_write, used_along
from engines.counters import Counter
from engines.errors import DomainError
from engines.models import Component, Engine, MovementVoid, PartDone, PartLimit, PartMovement, PartStay
from engines.part_queries import NEWEST_FIRST, has_life_limit, lines_standing
from engines.restated import raised_words
from engines.stays import ENGINE, Away, LedgerLine, gone_fault, ledger_fault
from engines.times import Times

NOTHING = "Nothing is stated otherwise than before."
FITTED, REMOVED, LEFT = PartMovement.Kind.FITTED, PartMovement.Kind.REMOVED, PartMovement.Kind.LEFT
RETURNED = PartMovement.Kind.RETURNED
STATED = (
    "engine_id",
    "parent_id",
    "position",
    "place",
    "control",
    "is_temporary",
    "remarks",
    "release_certificate",
    "at",
)


@dataclass(frozen=True)
class Sending:
    """To whom a part went, when, and by which control method."""

    to: str
    at: datetime
    control: str = ""


Stated = Fitting | Removal | Sending | Return


@transaction.atomic
def line_correct(*, line: PartMovement, stated: Stated, why: str, by: AbstractBaseUser) -> PartMovement:
    """State a line of a part's ledger anew: the old one is struck, and where the part ran is worked out again.

    A line that was struck before is stated anew as well. Raises DomainError "corrected_before" for one that was,
    "nothing_changed", "text_missing" without a reason, "out_of_order" where the ledger would not follow, and what
    fitting, removing and sending refuse.
    """
    _check_why(why)
    component = Component.objects.select_for_update().get(pk=line.component_id)
    line = PartMovement.objects.select_related("engine", "parent", "component").get(pk=line.pk)
    if hasattr(line, "replaced_by"):
        raise DomainError("This line was stated anew before; correct that.", code="corrected_before")
    is_struck = hasattr(line, "void")
    made = _line_of(line, stated)
    made.component = component
    if not is_struck and _is_as_before(line, made, stated):
        raise DomainError(NOTHING, code="nothing_changed")
    if not is_struck:
        MovementVoid.objects.create(movement=line, reason=why.strip()[:240], by_id=by.pk)
    _check_line(made)
    made.life = _life_along(component, made, stated)
    certificate_check(component, made.release_certificate, made.life)
    made.recorded_by_id = by.pk
    made.save()
    stays_write(component)
    _check_controls(component, made)
    return made


def _is_as_before(line: PartMovement, made: PartMovement, stated: Stated) -> bool:
    is_same_life = not isinstance(stated, Return) or vars(stated.used) == line.life.get("used")
    return is_same_life and all(getattr(made, name) == getattr(line, name) for name in STATED)


def _check_why(why: str) -> None:
    if not why.strip():
        raise DomainError("Say why it is corrected.", code="text_missing", fields={"why": "is missing"})


def _line_of(line: PartMovement, stated: Stated) -> PartMovement:
    """Return the line as it is to stand; a removal is from where the part was fitted then."""
    made = PartMovement(component=line.component, kind=line.kind, replaces=line, at=stated.at)
    if isinstance(stated, Fitting):
        made.engine, made.parent, made.position = stated.engine, stated.parent, stated.position
        made.control, made.remarks = stated.control, stated.remarks
        made.release_certificate = stated.release_certificate
    elif isinstance(stated, Removal):
        made.engine, made.parent, made.position = _host_before(line, stated.at)
        made.control, made.is_temporary = stated.control, stated.is_temporary
        made.place, made.remarks = stated.place, stated.remarks
    elif isinstance(stated, Return):
        made.place, made.control, made.remarks = stated.place.strip(), stated.control, stated.remarks.strip()
    else:
        made.engine, made.parent, made.position = line.engine, line.parent, line.position
        made.place, made.control, made.remarks = stated.to.strip(), stated.control, line.remarks
    return made


def _host_before(line: PartMovement, at: datetime) -> tuple[Engine | None, Component | None, str]:
    """Return where a part was fitted before a moment, its own line left out; that line's where it was not."""
    before = lines_standing().filter(component=line.component_id, at__lt=at).exclude(pk=line.pk)
    fitted = before.select_related("engine", "parent").order_by(*NEWEST_FIRST).first()
    found = fitted if fitted is not None and fitted.kind == FITTED else line
    return found.engine, found.parent, found.position


def _check_line(made: PartMovement) -> None:
    """Refuse what the line itself can't be, whatever stands before and after it."""
    if fault := moment_fault(made.at):
        raise DomainError(f"The moment {fault}.", code="out_of_order", fields={"at": fault})
    if made.kind == FITTED:
        told = ("at", "engine", "parent", "position")
        place_check(made.component, Fitting(**{name: getattr(made, name) for name in told}), _above_then(made))
        _check_alone(made, made.at, _end_of(made.component_id, made.at))
    if made.kind == REMOVED:
        _check_alone(made, _begin_of(made), made.at)
    if made.kind == LEFT and not made.place:
        raise DomainError("Name who gets the part.", code="text_missing", fields={"to": "Name who gets the part."})
    if made.kind != FITTED:
        _check_method(made)


def _check_method(made: PartMovement) -> None:
    """Refuse a part with a life limit that comes off or goes without a method by which it is controlled."""
    is_free = made.control or made.is_temporary or _came_off_with(made)
    if not is_free and has_life_limit(made.component):
        words = "This part has a life limit: choose the method by which it is kept from use beyond it."
        raise DomainError(words, code="control_needed", fields={"control": words})


def _came_off_with(made: PartMovement) -> bool:
    """Return whether a part went to another owner with what it was fitted to."""
    return made.kind == LEFT and bool(made.engine_id or made.parent_id)


def _check_alone(made: PartMovement, begin: datetime, end: datetime | None) -> None:
    """Refuse a stay at a place in which another part was meanwhile."""
    if not made.position:
        return
    others = lines_standing().filter(kind=FITTED, engine=made.engine, parent=made.parent, position=made.position)
    for other in others.exclude(component=made.component).select_related("component"):
        until = _end_of(other.component_id, other.at)
        if (end is None or other.at < end) and (until is None or until > begin):
            words = f"{other.component} was fitted there since {_said(other.at)}; two parts can't be in one place."
            raise DomainError(words, code="position_taken", fields={"position": words})


def _begin_of(made: PartMovement) -> datetime:
    """Return since when a part that comes off was fitted; that moment itself where it was not."""
    on = lines_standing().filter(component=made.component_id, kind=FITTED, at__lt=made.at).order_by("at").last()
    return on.at if on is not None else made.at


def _end_of(component: int, at: datetime) -> datetime | None:
    """Return when a part that was fitted at a moment came off; None while it has not."""
    off = lines_standing().filter(component=component, kind__in=(REMOVED, LEFT), at__gt=at).order_by("at").first()
    return off.at if off is not None else None


def _above_then(line: PartMovement) -> tuple[Engine | None, str]:
    """Return the engine that a line's host ran with at its moment, and the host's place in it."""
    if line.parent is None:
        return line.engine, ""
    above = lines_standing().filter(component=line.parent, at__lte=line.at).select_related("engine")
    found = above.order_by(*NEWEST_FIRST).first()
    if found is None or found.kind != FITTED:
        return None, ""
    return found.engine, found.position


def _life_along(component: Component, made: PartMovement, stated: Stated) -> dict[str, Any]:
    """Return what the part had used by the line as it is to stand; its ledger has to follow."""
    hosts = {made.component_id} | ({made.parent_id} if made.parent_id else set())
    ledgers = ledgers_of(hosts)
    own = ledgers[component.pk]
    if made.engine_id or made.parent_id:
        own.append(LedgerLine(made.at, made.kind == FITTED, made.host))
        own.sort(key=lambda line: (line.at, line.is_fitted))
    _check_follows(component, own, made)
    if isinstance(stated, Return):
        _check_return(component, stated)
        return life_told(component, stated.used, stated.at)
    try:
        return life_told(component, used_along(component, ledgers, made.at), made.at)
    except ValueError as error:
        raise DomainError("A part can't sit in itself, by way of others neither.", code="sits_in_itself") from error


def _check_return(component: Component, stated: Return) -> None:
    """Refuse a return with less than the part went with, or without the record that says what it had used."""
    for name, words in (("place", "Say from whom it came back."), ("remarks", "Name the record that says so.")):
        if not getattr(stated, name).strip():
            raise DomainError(words, code="text_missing", fields={name: words})
    gone = lines_standing().filter(component=component, kind=LEFT, at__lt=stated.at).order_by("at").last()
    less = used_less(stated.used, Times(**gone.life["used"])) if gone is not None else []
    if less:
        words = f"It went with more than that: {', '.join(less)}."
        raise DomainError(words, code="life_impossible", fields=dict.fromkeys(less, words))


def _check_follows(component: Component, own: list[LedgerLine], made: PartMovement) -> None:
    """Refuse a ledger in which the part would be in two places, come off before it was fitted, or run on when gone."""
    if fault := ledger_fault(own) or _gone_fault(component, own, made):
        words = (
            f"With this correction the ledger of {component} does not follow: {fault}. "
            "Strike or correct the other line first, or give what was right."
        )
        raise DomainError(words, code="out_of_order", fields={"at": words})


def _gone_fault(component: Component, own: list[LedgerLine], made: PartMovement) -> str:
    """Return what does not follow where a part was with other owners, or once it was mutilated, in words."""
    standing = sorted([*lines_standing().filter(component=component), made], key=lambda line: line.at)
    away: list[Away] = []
    for line in standing:
        if line.kind == LEFT:
            away.append(Away(line.at))
        elif line.kind == RETURNED:
            if not away or away[-1].end is not None:
                return f"it came back from another owner at {_said(line.at)}, before it went"
            away[-1] = Away(away[-1].begin, line.at)
    mutilated = [line.at for line in standing if line.control == PartMovement.Control.MUTILATED]
    return gone_fault(own, away, mutilated)


def _check_controls(component: Component, made: PartMovement) -> None:
    """Refuse a removal for a time only after which a life-limited part did not go back as it came off."""
    if not has_life_limit(component):
        return
    lines = list(lines_standing().filter(component=component).exclude(kind=LEFT).select_related("engine", "parent"))
    lines.sort(key=lambda line: (line.at, line.kind == FITTED))
    for off, on in zip(lines, lines[1:], strict=False):
        is_free = off.kind == REMOVED and not off.control and not on.control
        if is_free and made in (off, on) and not _goes_back(off, on):
            raise control_fault()


def _goes_back(off: PartMovement, on: PartMovement) -> bool:
    """Return whether a part went back to where it came off, on an engine that gained no time meanwhile."""
    if off.host != on.host:
        return False
    if off.host.kind == ENGINE:
        engine: Engine | None = off.engine
    else:
        stay = PartStay.objects.filter(component=off.component_id, end__at=off.at).select_related("engine").first()
        engine = stay.engine if stay is not None else None
        if stay is not None and _above_then(on)[0] != engine:
            return False
    return engine is None or point_at(engine, off.at).times == point_at(engine, on.at).times


def _said(at: datetime) -> str:
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M}"


@transaction.atomic
def part_done_correct(
    *, done: PartDone, at: datetime, reference: str, why: str, by: AbstractBaseUser, tested_by: str = ""
) -> PartDone:
    """State anew when and to which data an overhaul or an inspection was done; its interval begins at that moment.

    Raises DomainError "corrected_before", "nothing_changed", "out_of_order" for a moment that can't be,
    "text_missing" without a reason or the data worked to, "overhaul_incomplete" for one without its test.
    """
    _check_why(why)
    component = Component.objects.select_for_update().get(pk=done.component_id)
    if PartDone.objects.filter(replaces=done).exists():
        raise DomainError("This was stated anew before; correct that.", code="corrected_before")
    if fault := moment_fault(at):
        raise DomainError(f"The moment {fault}.", code="out_of_order", fields={"at": fault})
    if component.made_on and timezone.localdate(at) < component.made_on:
        words = f"{component} was made on {component.made_on}, later than that."
        raise DomainError(words, code="out_of_order", fields={"at": words})
    if not reference.strip():
        words = "Name the data worked to, with its revision."
        raise DomainError(words, code="text_missing", fields={"reference": words})
    if done.limit.kind == PartLimit.Kind.OVERHAUL and not tested_by.strip():
        words = "Name the test after the overhaul, with its data."
        raise DomainError(words, code="overhaul_incomplete", fields={"tested_by": words})
    told = {"at": at, "reference": reference.strip(), "tested_by": tested_by.strip()}
    if all(getattr(done, name) == value for name, value in told.items()):
        raise DomainError(NOTHING, code="nothing_changed")
    about = {"component": component, "limit": done.limit, "life": done.life, "recorded_by_id": by.pk}
    made = PartDone.objects.create(replaces=done, **about, **told)
    stays_write(component)
    return made


@transaction.atomic
def limit_correct(*, limit: PartLimit, facts: LimitFacts, why: str, by: AbstractBaseUser) -> PartLimit:
    """State anew what was entered wrong of a limit in force; never more than it allows.

    Raises DomainError "limit_raised" for what would allow more, "replaced_before" for a revision that another
    replaced, "nothing_changed", "text_missing" without a reason, and what entering a limit refuses.

    References
    ----------
    14 CFR 33.70: the maker publishes the lives; a user can't raise one.
    """
    _check_why(why)
    limit_check(limit.kind, limit.parameter, facts, (Counter(limit.parameter, limit.parameter, limit.unit),))
    if all(getattr(limit, name) == value for name, value in vars(facts).items()):
        raise DomainError(NOTHING, code="nothing_changed")
    same = {name: getattr(limit, name) for name in ("operator", "key", "part_number", "serial", "kind", "parameter")}
    made = PartLimit(replaces=limit, is_correction=True, entered_by_id=by.pk, **same, **vars(facts))
    if raised := raised_words(limit.limit, made.limit):
        words = f"A correction raises no limit, and {raised}. Only a newer revision of its source does; enter that."
        raise DomainError(words, code="limit_raised", fields={"amount": words})
    try:
        with transaction.atomic():
            made.save()
    except IntegrityError as error:
        raise DomainError("This revision was replaced by another before.", code="replaced_before") from error
    return made


@transaction.atomic
def component_correct(*, component: Component, why: str, **stated: Any) -> Component:
    """State anew what a part had used when its record here began, and where that comes from; its times follow.

    Raises DomainError "nothing_changed", and "text_missing" without a reason or without what the figures rest on.
    """
    _check_why(why)
    component = Component.objects.select_for_update().get(pk=component.pk)
    if not str(stated.get("opening_basis", component.opening_basis)).strip():
        words = "Say where the figures come from."
        raise DomainError(words, code="text_missing", fields={"opening_basis": words})
    if all(getattr(component, name) == value for name, value in stated.items()):
        raise DomainError(NOTHING, code="nothing_changed")
    for name, value in stated.items():
        setattr(component, name, value)
    component.save(update_fields=list(stated))
    return component

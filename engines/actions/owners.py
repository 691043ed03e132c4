"""Engines and parts that go to another owner, and parts that come back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from engines.actions.parts import check_order, control_sent, ledger_correct, life_of, life_told
from engines.actions.stays import stays_write
from engines.errors import DomainError
from engines.models import Component, Engine, PartMovement
from engines.part_queries import components_on, fitted_at, has_life_limit, lines_standing, off_since
from engines.times import Times


@dataclass(frozen=True)
class Return:
    """A part that came back: when, from whom, what it had used in all by then, and by which record."""

    at: datetime
    used: Times
    place: str
    remarks: str
    control: str = ""


@transaction.atomic
def engine_leave(*, engine: Engine, to: str, at: datetime, by: AbstractBaseUser) -> Engine:
    """Record that an engine went to another owner with the parts that are on it; nothing is recorded of it any more.

    Raises DomainError "engine_left" for one that went before, "text_missing" without the new owner.
    """
    engine = Engine.objects.select_for_update().get(pk=engine.pk)
    engine_here(engine)
    for component in list(components_on(engine).order_by("pk")):
        part_leave(component=component, to=to, at=at, by=by, remarks=_with(engine))
    engine.left_at, engine.left_to = at, _named(to)
    engine.save(update_fields=["left_at", "left_to"])
    return engine


def _with(engine: Engine) -> str:
    """Return what the ledger of a part says that went with an engine."""
    return f"With engine {engine.serial}"


def engine_here(engine: Engine) -> None:
    """Raise DomainError "engine_left" for an engine that was handed over to another owner."""
    if engine.left_at is not None:
        words = f"Engine {engine.serial} was handed over to {engine.left_to} on {engine.left_at:%Y-%m-%d}."
        raise DomainError(words, code="engine_left")


@transaction.atomic
def engine_stays(*, engine: Engine, reason: str, by: AbstractBaseUser) -> Engine:
    """Take back that an engine was handed over, because it never left; the lines of its parts are struck.

    Raises DomainError "serial_taken" where the engine has come back since, and what ledger_correct raises.
    """
    engine = Engine.objects.select_for_update().get(pk=engine.pk)
    if Engine.objects.filter(operator=engine.operator_id, serial=engine.serial, left_at=None).exists():
        raise DomainError(f"Engine {engine.serial} has come back since.", code="serial_taken")
    went = lines_standing().filter(kind=PartMovement.Kind.LEFT, remarks=_with(engine))
    for line in went.filter(at__gte=engine.left_at or timezone.now()):
        parts_stay([line], reason, by)
    engine.left_at, engine.left_to = None, ""
    engine.save(update_fields=["left_at", "left_to"])
    return engine


def parts_stay(lines: Iterable[PartMovement], reason: str, by: AbstractBaseUser) -> None:
    """Strike lines by which parts went to another owner.

    Raises DomainError "out_of_order" where a part has come back since.
    """
    for line in lines:
        last = off_since(line.component)
        if last is None or last.pk != line.pk:
            raise DomainError(f"{line.component} has come back since.", code="out_of_order")
        ledger_correct(component=line.component, struck=[line.pk], reason=reason, lines=[], by=by)


@transaction.atomic
def part_leave(
    *, component: Component, to: str, at: datetime, by: AbstractBaseUser, remarks: str = "", control: str = ""
) -> PartMovement:
    """Record that a part went to another owner from wherever it is fitted, or lies.

    Raises DomainError "text_missing" without the new owner, "control_needed" for a life-limited part that is off
    without a control method, "out_of_order", "left".
    """
    component = Component.objects.select_for_update().get(pk=component.pk)
    line, off = fitted_at(component), off_since(component)
    if off is not None and off.kind == PartMovement.Kind.LEFT:
        raise DomainError(f"{component} went to {off.place} before.", code="left")
    check_order(component, at, is_fitting=False)
    made = PartMovement.objects.create(
        component=component,
        kind=PartMovement.Kind.LEFT,
        engine=line.engine if line else None,
        parent=line.parent if line else None,
        position=line.position if line else "",
        place=_named(to),
        control=control if line else control_sent(component, off, control),
        life=life_of(component, at),
        remarks=remarks,
        at=at,
        recorded_by_id=by.pk,
    )
    stays_write(component)
    return made


@transaction.atomic
def part_return(*, component: Component, told: Return, by: AbstractBaseUser) -> PartMovement:
    """Record that a part came back from another owner, with what it had used in all by that owner's record.

    What it used while it was away counts from then on. Raises DomainError "not_left" for a part that did not go,
    "text_missing" where nobody is named or no record is, "life_impossible" where it would have used less than when it
    went, "control_needed" for a life-limited part without a tag, mark or record, "out_of_order".
    """
    component = Component.objects.select_for_update().get(pk=component.pk)
    gone = off_since(component)
    if gone is None or gone.kind != PartMovement.Kind.LEFT:
        raise DomainError(f"{component} is not with another owner.", code="not_left")
    _return_check(component, gone, told)
    line = PartMovement(
        component=component,
        kind=PartMovement.Kind.RETURNED,
        life=life_told(component, told.used, told.at),
        recorded_by_id=by.pk,
        **{name: getattr(told, name) for name in ("at", "place", "remarks", "control")},
    )
    line.save()
    stays_write(component)
    return line


def _return_check(component: Component, gone: PartMovement, told: Return) -> None:
    check_order(component, told.at, is_fitting=False)
    for name, words in (("place", "Say from whom it came back."), ("remarks", "Name the record that says so.")):
        if not getattr(told, name).strip():
            raise DomainError(words, code="text_missing", fields={name: words})
    less = used_less(told.used, Times(**gone.life["used"]))
    if less:
        words = f"It went with more than that: {', '.join(less)}."
        raise DomainError(words, code="life_impossible", fields=dict.fromkeys(less, words))
    if has_life_limit(component) and not told.control:
        words = "A tag, mark or record comes with a life-limited part: choose which."
        raise DomainError(words, code="control_needed", fields={"control": words})


def used_less(now: Times, before: Times) -> list[str]:
    """Return the counters that stand lower than they stood before."""
    change = now - before
    counted = {name: amount for name, amount in vars(change).items() if name != "other"} | dict(change.other)
    return [name for name, amount in counted.items() if amount < 0]


def _named(to: str) -> str:
    if not to.strip():
        words = "Name who gets it."
        raise DomainError(words, code="text_missing", fields={"to": words})
    return to.strip()

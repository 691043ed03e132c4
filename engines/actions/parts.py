"""Entering parts, fitting, removing and moving them, and putting a ledger right."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import IntegrityError, transaction
from django.utils import timezone

from engines.actions.runs import moment_fault
from engines.actions.stays import ledgers_of, point_at, stays_write, used_by
from engines.errors import DomainError
from engines.lives import History, Status, status_of
from engines.models import Component, Engine, MovementVoid, Operator, PartLimit, PartMovement, PartStay
from engines.part_queries import (
    NEWEST_FIRST,
    fitted_at,
    has_life_limit,
    limits_of,
    lines_current,
    lines_standing,
    off_since,
)
from engines.queries import revision_in_force
from engines.stays import ledger_fault
from engines.times import Times


@dataclass(frozen=True)
class Fitting:
    """Where and when a part is fitted: to an engine or into another part, at a place of it.

    ``release_certificate`` names the authorised release certificate that it came with: form, number, who issued it.
    """

    at: datetime
    engine: Engine | None = None
    parent: Component | None = None
    position: str = ""
    remarks: str = ""
    control: str = ""
    release_certificate: str = ""


@dataclass(frozen=True)
class Removal:
    """When a part is removed, by which control method, and where it lies then."""

    at: datetime
    control: str = ""
    is_temporary: bool = False
    place: str = ""
    remarks: str = ""


def component_add(*, operator: Operator, part_number: str, serial: str, **brought: Any) -> Component:
    """Enter a part with what it had used; DomainError "serial_taken" for a part number and serial in use.

    Raises DomainError "text_missing" where what it brought is reconstructed, and nothing says from what.
    """
    if brought.get("opening_is_reconstructed") and not brought.get("opening_basis", "").strip():
        words = "Say from which records, and how, the figures were reconstructed."
        raise DomainError(words, code="text_missing", fields={"opening_basis": words})
    try:
        with transaction.atomic():
            return Component.objects.create(
                operator=operator, part_number=part_number.strip(), serial=serial.strip(), **brought
            )
    except IntegrityError as error:
        raise DomainError(
            f"There is already a part {part_number} with serial {serial}.", code="serial_taken"
        ) from error


@transaction.atomic
def part_fit(
    *, component: Component, at: datetime, by: AbstractBaseUser, engine: Engine | None = None, **how: Any
) -> PartMovement:
    """Fit a part to an engine, or into another part; ``how`` is what Fitting holds besides.

    Raises DomainError "already_fitted" while it is fitted, "out_of_order" for too early a time, "mutilated" and
    "left" for a part that can be fitted no more, "control_needed" where a temporary removal turns out to be none,
    "position_unknown", "position_taken" and "part_unsuited" for a place that does not take it, "sits_in_itself",
    "certificate_refused" for a certificate of a part that has reached its life limit.
    """
    fitting = Fitting(at=at, engine=engine, **how)
    component = Component.objects.select_for_update().get(pk=component.pk)
    line = fitted_at(component)
    if line is not None:
        host = line.engine or line.parent
        raise DomainError(f"{component} is fitted to {host}; remove it there first.", code="already_fitted")
    check_order(component, fitting.at, is_fitting=True)
    _check_may_be_fitted(component)
    _check_place(component, fitting)
    _check_control(component, fitting)
    life = life_of(component, fitting.at)
    certificate_check(component, fitting.release_certificate, life)
    made = PartMovement.objects.create(
        component=component,
        kind=PartMovement.Kind.FITTED,
        life=life,
        recorded_by_id=by.pk,
        **vars(fitting),
    )
    stays_write(component)
    return made


@transaction.atomic
def part_remove(*, component: Component, at: datetime, by: AbstractBaseUser, **how: Any) -> PartMovement:
    """Remove a part from where it is fitted; ``how`` is what Removal holds besides.

    Raises DomainError "not_fitted" while it is off, "out_of_order" for too early a time, "control_needed" for a
    life-limited part removed for more than a time without one of the control methods.

    References
    ----------
    14 CFR 43.10(b) and (c).
    """
    removal = Removal(at=at, **how)
    component = Component.objects.select_for_update().get(pk=component.pk)
    line = fitted_at(component)
    if line is None:
        raise DomainError(f"{component} is not fitted to an engine.", code="not_fitted")
    check_order(component, removal.at, is_fitting=False)
    if has_life_limit(component) and not removal.control and not removal.is_temporary:
        words = "This part has a life limit: choose the method by which it is kept from use beyond it."
        raise DomainError(words, code="control_needed", fields={"control": words})
    made = PartMovement.objects.create(
        component=component,
        kind=PartMovement.Kind.REMOVED,
        engine=line.engine,
        parent=line.parent,
        position=line.position,
        life=life_of(component, removal.at),
        recorded_by_id=by.pk,
        **vars(removal),
    )
    stays_write(component)
    return made


@transaction.atomic
def part_move(
    *, component: Component, removal: Removal, fitting: Fitting, by: AbstractBaseUser
) -> tuple[PartMovement, PartMovement]:
    """Remove a part and fit it elsewhere in one act; what part_remove and part_fit refuse is refused."""
    removed = part_remove(component=component, by=by, **vars(removal))
    return removed, part_fit(component=component, by=by, **vars(fitting))


@transaction.atomic
def part_send(*, component: Component, to: str, at: datetime, by: AbstractBaseUser, control: str = "") -> PartMovement:
    """Record that a part went to another owner, with its record; it can't be fitted here any more.

    Raises DomainError "already_fitted" while it is fitted, "text_missing" without the new owner, "control_needed"
    for a life-limited part without a control method, "out_of_order", "left".
    """
    component = Component.objects.select_for_update().get(pk=component.pk)
    last = off_since(component)
    _check_may_be_sent(component, last, to, at)
    return PartMovement.objects.create(
        component=component,
        kind=PartMovement.Kind.LEFT,
        place=to.strip(),
        control=control_sent(component, last, control),
        life=life_of(component, at),
        at=at,
        recorded_by_id=by.pk,
    )


@transaction.atomic
def ledger_correct(
    *,
    component: Component,
    struck: Sequence[int],
    reason: str,
    lines: Sequence[Mapping[str, Any]],
    by: AbstractBaseUser,
) -> list[PartMovement]:
    """Strike lines of a ledger that were wrong, and add what was right; both stay readable.

    Raises DomainError "text_missing" without a reason, "out_of_order" where what is left does not follow.
    """
    if not reason.strip():
        raise DomainError("Say why the lines are wrong.", code="text_missing", fields={"reason": "Say why."})
    component = Component.objects.select_for_update().get(pk=component.pk)
    for line in lines_standing().filter(component=component, pk__in=struck):
        MovementVoid.objects.create(movement=line, reason=reason.strip(), by_id=by.pk)
    made = [PartMovement.objects.create(component=component, recorded_by_id=by.pk, **line) for line in lines]
    fault = ledger_fault(ledgers_of({component.pk})[component.pk])
    if fault:
        raise DomainError(f"What is left of the ledger does not follow: {fault}.", code="out_of_order")
    stays_write(component)
    return made


def life_of(component: Component, at: datetime) -> dict[str, Any]:
    """Return what a part has used and has left at a moment, as plain data to be kept."""
    return life_told(component, used_by(component, at), at)


def life_told(component: Component, used: Times, at: datetime) -> dict[str, Any]:
    """Return what a part has left at a moment at which it has used so much, as plain data to be kept."""
    history = History(brought=used, made_on=component.made_on)
    limits = [row.limit for row in limits_of(component) if row.kind == PartLimit.Kind.LIFE]
    rows = [status_of(limit, history, timezone.localdate(at)) for limit in limits]
    return {"used": vars(used), "limits": [_life_line(row) for row in rows]}


def _life_line(status: Status) -> dict[str, Any]:
    limit = status.limit
    about = {name: getattr(limit, name) for name in ("parameter", "amount", "unit", "source", "revision")}
    told = {"used": status.used, "remaining": status.remaining}
    return about | {"weight": str(limit.weight)} | {name: None if v is None else str(v) for name, v in told.items()}


def certificate_check(component: Component, certificate: str, life: Mapping[str, Any]) -> None:
    """Refuse a release certificate of a part that is known to have reached its life limit (145.A.50(d))."""
    spent = [row for row in life["limits"] if row["remaining"] is not None and Fraction(row["remaining"]) <= 0]
    if certificate.strip() and spent:
        words = (
            f"{component} has reached its life limit by {spent[0]['source']}; what is known to be unserviceable is "
            "released on no certificate. Leave it empty, or correct the limit or what the part had used."
        )
        raise DomainError(words, code="certificate_refused", fields={"release_certificate": words})


def check_order(component: Component, at: datetime, *, is_fitting: bool) -> None:
    """Raise DomainError "out_of_order" for a moment that does not come after the last line of a part's ledger."""
    if fault := moment_fault(at):
        raise DomainError(f"The moment {fault}.", code="out_of_order", fields={"at": fault})
    last = lines_standing().filter(component=component).order_by(*NEWEST_FIRST).first()
    is_off = last is not None and last.kind in (PartMovement.Kind.REMOVED, PartMovement.Kind.RETURNED)
    if last is None or at > last.at or (at == last.at and is_fitting and is_off):
        return
    raise DomainError(
        f"{component} was {last.get_kind_display().lower()} at {last.at:%Y-%m-%d %H:%M}; this must come after.",
        code="out_of_order",
    )


def _check_may_be_fitted(component: Component) -> None:
    lines = lines_standing().filter(component=component)
    if lines.filter(control=PartMovement.Control.MUTILATED).exists():
        raise DomainError(f"{component} was mutilated beyond repair; it is fitted no more.", code="mutilated")
    sent = lines.filter(kind__in=(PartMovement.Kind.LEFT, PartMovement.Kind.RETURNED)).last()
    if sent is not None and sent.kind == PartMovement.Kind.LEFT:
        raise DomainError(f"{component} went to {sent.place}.", code="left")


def _check_may_be_sent(component: Component, last: PartMovement | None, to: str, at: datetime) -> None:
    """Refuse to send a part that is fitted, that goes to nobody, or that went to another owner before."""
    if fitted_at(component) is not None:
        raise DomainError(f"{component} is still fitted; remove it first.", code="already_fitted")
    if not to.strip():
        raise DomainError("Name who gets the part.", code="text_missing", fields={"to": "Name who gets the part."})
    check_order(component, at, is_fitting=False)
    if last is not None and last.kind == PartMovement.Kind.LEFT:
        raise DomainError(f"{component} went to {last.place} before.", code="left")


def control_sent(component: Component, last: PartMovement | None, control: str) -> str:
    """Return the control method that goes with a part: the one chosen, else that of its removal.

    Raises DomainError "control_needed" for a life-limited part without one.
    """
    sent = control or (last.control if last else "")
    if has_life_limit(component) and not sent:
        words = "A tag, mark or record goes with a life-limited part: choose which."
        raise DomainError(words, code="control_needed", fields={"control": words})
    return sent


def _check_place(component: Component, fitting: Fitting) -> None:
    """Refuse a place that is none, that is taken, or that the part does not suit."""
    if fitting.engine is not None and fitting.engine.left_at is not None:
        words = f"Engine {fitting.engine} was handed over to {fitting.engine.left_to}."
        raise DomainError(words, code="engine_left")
    place_check(component, fitting, _engine_above(fitting))
    on_host = {"engine": fitting.engine} if fitting.engine else {"parent": fitting.parent}
    taken = lines_current().filter(**on_host, position=fitting.position).exclude(position="").first()
    if taken is not None:
        words = f"{taken.component} is fitted there; remove it first."
        raise DomainError(words, code="position_taken", fields={"position": words})


def place_check(component: Component, fitting: Fitting, above: tuple[Engine | None, str]) -> None:
    """Raise DomainError for a place that is none, or that the part does not suit.

    ``above`` is the engine that the fitted part runs with, if any, and the place in it of the part that takes it.
    """
    host = fitting.engine or fitting.parent
    if host is None:
        raise DomainError("Say to which engine or module.", code="host_missing", fields={"engine": "is missing"})
    if host.operator_id != component.operator_id:
        raise DomainError(f"{host} is not of your operator.", code="not_of_operator")
    engine, place = above
    if engine is not None:
        _check_catalogue(component, fitting, engine, place)


def _engine_above(fitting: Fitting) -> tuple[Engine | None, str]:
    """Return the engine that a fitted part runs with, if any, and the place in it of the part that takes it."""
    above = fitted_at(fitting.parent) if fitting.parent is not None else None
    engine = fitting.engine or (above.engine if above else None)
    return engine, above.position if above else ""


def _check_catalogue(component: Component, fitting: Fitting, engine: Engine, above: str) -> None:
    places = revision_in_force(engine.engine_type, fitting.at.date()).data.positions
    if not places:
        return
    place = next((place for place in places if (place.name, place.within) == (fitting.position, above)), None)
    if place is None:
        known = ", ".join(place.name for place in places if place.within == above) or "none"
        words = f"“{fitting.position}” is not a place for a part there; there are {known}."
        raise DomainError(words, code="position_unknown", fields={"position": words})
    if place.part_numbers and component.part_number not in place.part_numbers:
        words = f"Part number {component.part_number} is not listed for {place.name}."
        raise DomainError(words, code="part_unsuited", fields={"position": words})


def _check_control(component: Component, fitting: Fitting) -> None:
    """Refuse to fit a part that was removed for a time only, where the conditions for that do not hold.

    They are: no change in its life, the same product, and a product that gained no time meanwhile.
    """
    last = off_since(component)
    if last is None or last.control or fitting.control or not has_life_limit(component):
        return
    stay = PartStay.objects.filter(component=component).select_related("engine", "end").order_by("begin__at").last()
    if stay is None:
        return
    engine, _ = _engine_above(fitting)
    same = (fitting.parent, engine) == (last.parent, stay.engine)
    if same and point_at(stay.engine, fitting.at).times == stay.end.times:
        return
    raise control_fault()


def control_fault() -> DomainError:
    """Return the refusal of a part that was removed for a time only and did not go back as it came off."""
    words = "It does not go back to the same engine without time gained: choose the control method that was used."
    return DomainError(words, code="control_needed", fields={"control": words})

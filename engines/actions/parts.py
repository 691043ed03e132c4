"""Entering parts, and fitting and removing them."""

from datetime import datetime
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import IntegrityError, transaction

from engines.errors import DomainError
from engines.models import Component, Engine, Operator, PartMovement
from engines.queries import fitted_at


def component_add(*, operator: Operator, part_number: str, serial: str, **brought: Any) -> Component:
    """Enter a part with what it had used; DomainError "serial_taken" for a part number and serial in use."""
    try:
        with transaction.atomic():
            return Component.objects.create(
                operator=operator, part_number=part_number.strip(), serial=serial.strip(), **brought
            )
    except IntegrityError as error:
        raise DomainError(
            f"There is already a part {part_number} with serial {serial}.", code="serial_taken"
        ) from error


def _check_order(component: Component, at: datetime) -> None:
    last = component.movements.last()
    if last is not None and at <= last.at:
        raise DomainError(
            f"{component} was {last.get_kind_display().lower()} at {last.at:%Y-%m-%d %H:%M}; this must come after.",
            code="out_of_order",
        )


@transaction.atomic
def part_fit(
    *, component: Component, engine: Engine, position: str, at: datetime, by: AbstractBaseUser
) -> PartMovement:
    """Fit a part to an engine; DomainError "already_fitted" while it is fitted, "out_of_order" for too early a time."""
    component = Component.objects.select_for_update().get(pk=component.pk)
    line = fitted_at(component)
    if line is not None:
        raise DomainError(f"{component} is fitted to {line.engine}; remove it there first.", code="already_fitted")
    _check_order(component, at)
    return PartMovement.objects.create(
        component=component,
        kind=PartMovement.Kind.FITTED,
        engine=engine,
        position=position,
        at=at,
        recorded_by_id=by.pk,
    )


@transaction.atomic
def part_remove(*, component: Component, at: datetime, by: AbstractBaseUser) -> PartMovement:
    """Remove a part from its engine; DomainError "not_fitted" while it is off, "out_of_order" for too early a time."""
    component = Component.objects.select_for_update().get(pk=component.pk)
    line = fitted_at(component)
    if line is None:
        raise DomainError(f"{component} is not fitted to an engine.", code="not_fitted")
    _check_order(component, at)
    return PartMovement.objects.create(
        component=component,
        kind=PartMovement.Kind.REMOVED,
        engine=line.engine,
        position=line.position,
        at=at,
        recorded_by_id=by.pk,
    )

"""Selecting the inspection programme of an engine's aircraft, and correcting what was recorded of that."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.utils import timezone

from engines.errors import DomainError
from engines.models import Engine, ProgrammeSelection
from engines.programmes import Selection, selection_faults

if TYPE_CHECKING:
    from django.contrib.auth.models import AbstractBaseUser

WRONG = "The selection can't be recorded as it is."


def programme_select(*, engine: Engine, said: Selection, by: AbstractBaseUser) -> ProgrammeSelection:
    """Record under which programme the aircraft of an engine is inspected.

    Raises DomainError "engine_left", and "programme_invalid" with what is wrong with each field.
    """
    if engine.left_at is not None:
        raise DomainError(f"Engine {engine} was handed over to {engine.left_to}.", code="engine_left")
    return _kept(engine, said, by)


def programme_correct(*, row: ProgrammeSelection, said: Selection, by: AbstractBaseUser) -> ProgrammeSelection:
    """State a selection anew, in the place of one that was wrong.

    Raises DomainError "nothing_changed", "corrected_before", and "programme_invalid".
    """
    if said == row.said:
        raise DomainError("Nothing is stated otherwise than before.", code="nothing_changed")
    if hasattr(row, "replaced_by"):
        raise DomainError("This selection was corrected before; correct the newer one.", code="corrected_before")
    return _kept(row.engine, said, by, replaces=row)


def _kept(
    engine: Engine, said: Selection, by: AbstractBaseUser, replaces: ProgrammeSelection | None = None
) -> ProgrammeSelection:
    if faults := selection_faults(said, timezone.localdate()):
        raise DomainError(" ".join((WRONG, *faults.values())), code="programme_invalid", fields=faults)
    return ProgrammeSelection.objects.create(engine=engine, by_id=by.pk, replaces=replaces, **vars(said))

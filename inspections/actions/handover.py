"""Handing an open inspection over, and taking it."""

from dataclasses import asdict, dataclass

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction

from engines.errors import DomainError
from inspections import states
from inspections.models import Handover, Inspection, Taking


@dataclass(frozen=True)
class HandoverFacts:
    """What the outgoing person says of the job; none of it may be left unsaid."""

    done: str
    not_done: str
    watch_for: str
    parts_off: str


def _open(inspection: Inspection) -> Inspection:
    inspection = Inspection.objects.select_for_update().get(pk=inspection.pk)
    if inspection.state not in states.UNSETTLED:
        raise DomainError(f"Inspection {inspection.number} is approved; there is nothing to hand over.", code="closed")
    return inspection


@transaction.atomic
def handover_give(
    *, inspection: Inspection, facts: HandoverFacts, told_to: AbstractBaseUser, by: AbstractBaseUser
) -> Handover:
    """Hand an open inspection over to a person who was told; it stays with whoever has it until that person takes it.

    Raises DomainError "closed" for an approved inspection, "not_of_operator" and "handover_refused" for a person who
    cannot be the next, "text_missing" where something is left unsaid.
    """
    inspection = _open(inspection)
    if getattr(told_to, "operator_id", None) != inspection.operator_id:
        raise DomainError("That person does not work for this operator.", code="not_of_operator")
    if told_to.pk == by.pk:
        raise DomainError("A job is handed over to somebody else.", code="handover_refused")
    unsaid = {name: "say it, or write “none”" for name, text in asdict(facts).items() if not text.strip()}
    if unsaid:
        raise DomainError("Something is left unsaid.", code="text_missing", fields=unsaid)
    said = {name: text.strip() for name, text in asdict(facts).items()}
    return Handover.objects.create(inspection=inspection, told_to_id=told_to.pk, by_id=by.pk, **said)


@transaction.atomic
def handover_take(*, handover: Handover, by: AbstractBaseUser) -> Taking:
    """Take a job that was handed over; whoever takes it has it in hand from then on.

    Raises DomainError "handover_refused" for anybody but the person who was told, for a job that is taken already,
    and where a newer handover stands; "closed" where the inspection is approved.
    """
    inspection = _open(handover.inspection)
    newest = inspection.handovers.order_by("pk").last()
    if by.pk != handover.told_to_id:
        raise DomainError(f"Only {handover.told_to}, who was told, can take it.", code="handover_refused")
    if newest is None or newest.pk != handover.pk or Taking.objects.filter(handover=handover).exists():
        raise DomainError("It is taken already, or was handed over again since.", code="handover_refused")
    inspection.assigned_to_id = by.pk
    inspection.save(update_fields=["assigned_to"])
    return Taking.objects.create(handover=handover, by_id=by.pk)

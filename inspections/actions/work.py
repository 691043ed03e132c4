"""Working an inspection: steps, findings, corrective actions, cause, and the second look."""

from collections.abc import Iterable
from datetime import date
from typing import Final

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from engines.errors import DomainError
from inspections import states
from inspections.models import CorrectiveAction, Finding, Inspection, Step

# What somebody's role must let them do to have an inspection, as the table of access names it.
WORKS: Final = "inspection.work"


def _move(inspection: Inspection, to: str) -> None:
    if not states.may_move(inspection.state, to):
        raise DomainError(
            f"Inspection {inspection.number} is “{states.LABELS[inspection.state]}”; "
            f"it can't become “{states.LABELS[to]}”.",
            code="move_refused",
        )
    inspection.state = to


def _working(inspection: Inspection, by: AbstractBaseUser) -> Inspection:
    """Return the inspection, locked and in work by a person; work after a second look calls for another look."""
    inspection = Inspection.objects.select_for_update().get(pk=inspection.pk)
    if inspection.state == states.APPROVED:
        raise DomainError(f"Inspection {inspection.number} is approved; nothing more can be added.", code="closed")
    if inspection.state != states.IN_WORK:
        _move(inspection, states.IN_WORK)
    inspection.second_by_id = inspection.second_at = None
    inspection.save(update_fields=["state", "second_by", "second_at"])
    return inspection


def _text(text: str, what: str) -> str:
    if not text.strip():
        raise DomainError(f"{what} is missing.", code="text_missing")
    return text.strip()


@transaction.atomic
def inspection_begin(*, inspection: Inspection, by: AbstractBaseUser) -> Inspection:
    """Begin an inspection, or begin it again after it was not approved."""
    return _working(inspection, by)


@transaction.atomic
def inspection_assign(*, inspection: Inspection, to: AbstractBaseUser | None, by: AbstractBaseUser) -> Inspection:
    """Say who has an inspection; None takes it from whoever had it.

    Raises DomainError "not_of_operator", and "role_may_not" for somebody whose role works on no inspection.
    """
    inspection = Inspection.objects.select_for_update().get(pk=inspection.pk)
    if to is not None and getattr(to, "operator_id", None) != inspection.operator_id:
        raise DomainError("That person does not work for this operator.", code="not_of_operator")
    if to is not None and not getattr(to, "may", lambda act: True)(WORKS):
        raise DomainError(f"{to} works on no inspection, by their role.", code="role_may_not")
    inspection.assigned_to_id = None if to is None else to.pk
    inspection.save(update_fields=["assigned_to"])
    return inspection


@transaction.atomic
def inspections_assign(
    *, inspections: Iterable[Inspection], to: AbstractBaseUser, by: AbstractBaseUser
) -> list[Inspection]:
    """Give several inspections to one person, all of them or none."""
    return [inspection_assign(inspection=inspection, to=to, by=by) for inspection in inspections]


@transaction.atomic
def step_answer(*, step: Step, answer: str, reason: str, by: AbstractBaseUser) -> Step:
    """Answer a step as done, not done or not applicable; all but done need a reason."""
    if answer not in Step.Answer.values:
        raise DomainError("Answer Done, Not done or Not applicable.", code="answer_missing")
    if answer != Step.Answer.DONE:
        _text(reason, "The reason why the step is not done or not applicable")
    _working(step.inspection, by)
    step.answer, step.reason = answer, reason.strip()
    step.answered_by_id, step.answered_at = by.pk, timezone.now()
    step.save(update_fields=["answer", "reason", "answered_by", "answered_at"])
    return step


@transaction.atomic
def finding_add(*, inspection: Inspection, text: str, by: AbstractBaseUser) -> Finding:
    """Add a discrepancy that was found."""
    text = _text(text, "What was found")
    return Finding.objects.create(inspection=_working(inspection, by), text=text, recorded_by_id=by.pk)


@transaction.atomic
def action_add(
    *,
    inspection: Inspection,
    description: str,
    data_reference: str,
    completed_on: date,
    by: AbstractBaseUser,
    finding: Finding | None = None,
) -> CorrectiveAction:
    """Add what was done, to which data, and when it was completed."""
    if completed_on > timezone.localdate():
        words = "The work can't have been completed in the future."
        raise DomainError(words, code="date_impossible", fields={"completed_on": words})
    if finding is not None and finding.inspection_id != inspection.pk:
        raise DomainError("That finding belongs to another inspection.", code="finding_unknown")
    description = _text(description, "What was done")
    data_reference = _text(data_reference, "The data worked to (document, revision, section)")
    return CorrectiveAction.objects.create(
        inspection=_working(inspection, by),
        finding=finding,
        description=description,
        data_reference=data_reference,
        completed_on=completed_on,
        performed_by_id=by.pk,
    )


@transaction.atomic
def cause_set(*, inspection: Inspection, cause: str, text: str, by: AbstractBaseUser) -> Inspection:
    """Say how far the cause is known: not found, found, or corrected; the last two say what it was."""
    if cause not in Inspection.Cause.values:
        raise DomainError("The cause is not found, found or corrected.", code="cause_unknown")
    if cause != Inspection.Cause.NOT_FOUND:
        _text(text, "What the cause was")
    inspection = _working(inspection, by)
    inspection.cause, inspection.cause_text = cause, text.strip()
    inspection.save(update_fields=["cause", "cause_text"])
    return inspection


def workers_of(inspection: Inspection) -> set[int]:
    """Return who answered a step of an inspection or did work in it."""
    answered = inspection.steps.exclude(answered_by=None).values_list("answered_by", flat=True)
    done = inspection.actions.values_list("performed_by", flat=True)
    return {pk for pk in (*answered, *done) if pk is not None}


@transaction.atomic
def inspection_second(*, inspection: Inspection, by: AbstractBaseUser) -> Inspection:
    """Record the second look at a required inspection item, by who did none of the work (14 CFR 135.429(c))."""
    inspection = Inspection.objects.select_for_update().get(pk=inspection.pk)
    if not inspection.required_inspection_item:
        raise DomainError("This is not a required inspection item; no second look is called for.", code="not_required")
    if inspection.state != states.IN_WORK:
        raise DomainError("There is no work to look at yet, or no more.", code="move_refused")
    if by.pk in workers_of(inspection):
        raise DomainError(
            "Whoever did the work can't inspect it; a second, different person has to.", code="second_person_needed"
        )
    inspection.second_by_id, inspection.second_at = by.pk, timezone.now()
    inspection.save(update_fields=["second_by", "second_at"])
    return inspection

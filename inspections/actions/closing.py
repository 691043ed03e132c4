"""Ending an inspection: approved or not approved for return to service."""

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from engines.errors import DomainError
from engines.queries import engine_times
from engines.times import hours_text
from inspections import states
from inspections.closing import Closing, WorkState, faults_of, statement_of
from inspections.models import Inspection, Release, Step


def work_state(inspection: Inspection) -> WorkState:
    """Return what has been done of an inspection so far."""
    steps, findings = list(inspection.steps.all()), list(inspection.findings.prefetch_related("actions"))
    return WorkState(
        unanswered=tuple(step.text for step in steps if not step.answer),
        not_done=tuple(step.text for step in steps if step.answer == Step.Answer.NOT_DONE),
        findings=len(findings),
        findings_without_action=tuple(f.text for f in findings if not f.actions.all()),
        needs_second=inspection.required_inspection_item,
        has_second=inspection.second_by_id is not None,
        run_on=inspection.run.started_at.date(),
        today=timezone.localdate(),
    )


def basis_of(inspection: Inspection) -> str:
    """Return what called for an inspection, in words."""
    source = inspection.reference or inspection.source or "source not recorded"
    return f"{inspection.chart}, {inspection.rule} ({source}, limits revision {inspection.revision.number})"


def statement_for(inspection: Inspection, closing: Closing, hours_s: int | None = None) -> str:
    """Return the statement as it will stand when the inspection is ended so, at the run time of now or of then."""
    if hours_s is None:
        hours_s = engine_times(inspection.engine).run_time_s
    return statement_of(
        closing,
        engine=inspection.engine.serial,
        inspection=inspection.summary,
        basis=basis_of(inspection),
        hours=hours_text(hours_s),
    )


@transaction.atomic
def inspection_close(*, inspection: Inspection, by: AbstractBaseUser, closing: Closing, statement: str = "") -> Release:
    """End an inspection, with a statement in words of one's own where there is one.

    Raises DomainError "closing_refused" with what stands against it, by field, or "move_refused" where
    it is at its end already.
    """
    inspection = Inspection.objects.select_for_update().get(pk=inspection.pk)
    if closing.outcome in states.MOVES and not states.may_move(inspection.state, closing.outcome):
        raise DomainError(
            f"Inspection {inspection.number} is “{states.LABELS[inspection.state]}” already.", code="move_refused"
        )
    faults = faults_of(closing, work_state(inspection))
    if faults:
        raise DomainError(" ".join(faults.values()), code="closing_refused", fields=faults)
    inspection.state = closing.outcome
    inspection.save(update_fields=["state"])
    second = inspection.second_by
    return Release.objects.create(
        inspection=inspection,
        outcome=closing.outcome,
        extent=closing.extent.strip(),
        statement=statement or statement_for(inspection, closing),
        completed_on=closing.completed_on,
        signed_by_id=by.pk,
        signed_name=closing.signed_name,
        certificate_kind=closing.certificate_kind,
        certificate_number=closing.certificate_number,
        second_name=str(second) if second else "",
        given_to=closing.given_to.strip(),
    )

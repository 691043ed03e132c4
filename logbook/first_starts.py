"""First-start plans: asked for by what was done, carried through by runs and checks, and ended by a signed entry."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.db.models import Prefetch, QuerySet

from engines import actions
from engines.errors import DomainError
from engines.models import FirstStart, FirstStartCause, FirstStartEnd, FirstStartLine, Run
from logbook.access import DIRECTOR, INSPECTOR
from logbook.actions import certificate_check, entry_add, run_enter
from logbook.first_start_rows import FirstStartEntry
from logbook.first_start_words import plan_lines, plan_rows
from logbook.maintenance.bodies import times_on
from logbook.maintenance.rules import rules_needed
from logbook.models import Entry, Person
from logbook.signing import Signing
from logbook.statements.coverage import MAINTENANCE, coverage_fault

if TYPE_CHECKING:
    from datetime import date, datetime

    from engines.evidence import RunFacts

SET_ASIDE_BY: Final = (INSPECTOR, DIRECTOR)


@dataclass(frozen=True)
class StepSaid:
    """What is said of a step: how it ended, by which run, recorded already or as it is stated now, and when."""

    step: str
    ending: str
    run: Run | None = None
    facts: RunFacts | None = None
    at: datetime | None = None
    remarks: str = ""


def plan_list(user: Person) -> QuerySet[FirstStart]:
    """Return the operator's plans with all that belongs to them, newest first."""
    found = FirstStart.objects.filter(operator_id=user.operator_id or 0)
    found = found.select_related("engine__engine_type", "engine__operator", "revision", "end__by", "end__signed__entry")
    causes, lines = FirstStartCause.objects.select_related("by"), FirstStartLine.objects.all()
    lines = lines.select_related("by", "run__supervisor", "run__engine")
    return found.prefetch_related(Prefetch("causes", causes)).prefetch_related(Prefetch("lines", lines))


def plan_for(user: Person, pk: int) -> FirstStart:
    """Return one plan; FirstStart.DoesNotExist where the person may not see it."""
    return plan_list(user).get(pk=pk)


@transaction.atomic
def step_enter(*, plan: FirstStart, said: StepSaid, by: Person) -> FirstStartLine:
    """Record how the step in turn ended, and first the run by which it was done where that is stated now.

    Raises what :func:`engines.actions.step_record` and :func:`logbook.actions.run_enter` raise.
    """
    run = said.run
    if said.facts is not None:
        run = run_enter(engine=plan.engine, facts=said.facts, by=by)
    return actions.step_record(
        plan=plan, step=said.step, ending=said.ending, by=by, run=run, at=said.at, remarks=said.remarks
    )


@transaction.atomic
def first_start_sign(
    *, plan: FirstStart, outcome: str, on: date, by: Person, signing: Signing, remarks: str = "", read: str = ""
) -> Entry:
    """End a plan and sign that; ``read`` is the hash of the text that was read, where one was.

    Raises what plan_end raises, DomainError "role_may_not" where a plan is set aside by neither inspector nor director,
    "certificate_not_valid", "certificate_does_not_cover", "rules_missing" and "text_changed".
    """
    if outcome == FirstStartEnd.Outcome.NOT_CALLED_FOR and by.role not in SET_ASIDE_BY:
        words = "An inspector or the director of maintenance says that a first start is not called for."
        raise DomainError(words, code="role_may_not", fields={"outcome": words})
    end = actions.plan_end(plan=plan, outcome=outcome, on=on, by=by, remarks=remarks)
    entitled(by, signing, on, plan.operator_id)
    body, kind = first_start_body(plan, end), Entry.Kind.FIRST_START
    entry = entry_add(engine=plan.engine, body=body, by=by, signing=signing, read=read, kind=kind, completed_on=on)
    FirstStartEntry.objects.create(plan_end=end, entry=entry)
    return entry


def entitled(by: Person, signing: Signing, on: date, operator_id: int) -> None:
    """Refuse a signer whose certificate does not cover maintenance under the operator's rules on a day."""
    certificate = signing.certificate
    if certificate is None:
        words = "Choose the certificate by which you sign."
        raise DomainError(words, code="certificate_not_valid", fields={"certificate": words})
    certificate_check(by, certificate, on)
    if fault := coverage_fault(certificate.covers, MAINTENANCE, rules_needed(operator_id).ruleset):
        raise DomainError(fault, code="certificate_does_not_cover", fields={"certificate": fault})


def first_start_body(plan: FirstStart, end: FirstStartEnd) -> dict[str, Any]:
    """Return the body of the entry by which a plan ends, without its signature."""
    engine = plan.engine
    return {
        "kind": Entry.Kind.FIRST_START,
        "title": f"First-start plan {end.get_outcome_display().lower()}",
        **engine.operator.named,
        "engine": engine.named,
        "times": vars(times_on(engine, end.on)),
        "completed_on": end.on.isoformat(),
        "first_start": {
            "rows": [list(row) for row in plan_rows(plan, end)],
            "lines": [list(line) for line in plan_lines(plan)],
        },
    }

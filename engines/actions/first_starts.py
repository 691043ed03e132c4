"""Opening a first-start plan, recording its steps, and ending it."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

from django.db import transaction
from django.utils import timezone

from engines.errors import DomainError
from engines.first_starts import BY_HAND, CHECK, Trigger
from engines.models import Engine, FirstStart, FirstStartCause, FirstStartEnd, FirstStartLine, Run, TypeRevision
from engines.queries import revision_in_force

if TYPE_CHECKING:
    from collections.abc import Iterable

    from django.contrib.auth.models import AbstractBaseUser

    from engines.first_starts import FirstStartRules, StepRule

NO_STEPS = "The document of this type asks for no first start; enter its steps with the type's limits first."


def rules_in_force(engine: Engine, on: date) -> tuple[TypeRevision, FirstStartRules | None]:
    """Return the revision of an engine's type on a day, and what it asks of a first start; None where nothing."""
    revision = revision_in_force(engine.engine_type, on)
    return revision, revision.data.first_start


def plan_ask(
    *, engine: Engine, when: str, about: Iterable[str] = ("",), at: datetime, by: AbstractBaseUser, reason: str = ""
) -> FirstStart | None:
    """Open a plan, or begin the one that is open again, where the type asks for it after what was done; else None."""
    if engine.left_at is not None:
        return None
    revision, rules = rules_in_force(engine, timezone.localdate())
    trigger = rules.asked_after(when, about) if rules else None
    if trigger is None:
        return None
    cause = FirstStartCause.of(trigger)
    cause.at, cause.reason = at, reason
    return _caused(engine, revision, cause, by)


@transaction.atomic
def plan_open(
    *, engine: Engine, trigger: Trigger | None, reason: str, by: AbstractBaseUser, at: datetime | None = None
) -> FirstStart:
    """Open a plan by hand, for one of the type's triggers or for another reason; where one is open, it begins again.

    Raises DomainError "no_first_start" where the type asks for none, "text_missing" without a reason, "engine_left".
    """
    if not reason.strip():
        words = "Say why it is asked for."
        raise DomainError(words, code="text_missing", fields={"reason": words})
    if engine.left_at is not None:
        raise DomainError(f"Engine {engine} was handed over to {engine.left_to}.", code="engine_left")
    revision, rules = rules_in_force(engine, timezone.localdate())
    if rules is None:
        raise DomainError(NO_STEPS, code="no_first_start")
    cause = FirstStartCause.of(trigger or Trigger(BY_HAND, "Asked for by hand"))
    cause.at, cause.reason = at or timezone.now(), reason.strip()
    return _caused(engine, revision, cause, by)


def plan_open_on(engine: Engine) -> FirstStart | None:
    """Return the plan of an engine that has not ended; None where there is none."""
    return FirstStart.objects.filter(engine=engine, end=None).first()


def _caused(engine: Engine, revision: TypeRevision, cause: FirstStartCause, by: AbstractBaseUser) -> FirstStart:
    """Keep what asked for a plan: of the one that is open, or of a new one."""
    with transaction.atomic():
        Engine.objects.select_for_update().get(pk=engine.pk)
        plan = plan_open_on(engine)
        if plan is None:
            plan = FirstStart.objects.create(operator_id=engine.operator_id, engine=engine, revision=revision)
        cause.plan, cause.after, cause.by_id = plan, plan.lines.count(), by.pk
        cause.save()
    return plan


@transaction.atomic
def step_record(
    *,
    plan: FirstStart,
    step: str,
    ending: str,
    by: AbstractBaseUser,
    run: Run | None = None,
    at: datetime | None = None,
    remarks: str = "",
) -> FirstStartLine:
    """Record how the step of a plan that is in turn ended, and by which run.

    Raises DomainError "plan_ended", "step_not_in_turn", "ending_unknown", and "run_not_of_step" for a run that is
    another engine's, of another kind, void, of before the plan was asked for, or of another step already.
    """
    plan = plan_held(plan)
    rule = plan.progress.step
    if rule is None or rule.name != step:
        turn = f"“{rule.name}” is in turn" if rule else "every step of it is done"
        raise DomainError(f"“{step}” is not in turn in this plan: {turn}.", code="step_not_in_turn")
    found = rule.ending(ending)
    if found is None:
        known = ", ".join(one.name for one in rule.endings)
        words = f"“{ending}” is not how “{step}” may end; it may end: {known}."
        raise DomainError(words, code="ending_unknown", fields={"ending": words})
    _check_run(plan, rule, run)
    return FirstStartLine.objects.create(
        plan=plan,
        step=step,
        ending=ending,
        is_done=found.done,
        run=run,
        remarks=remarks.strip(),
        by_id=by.pk,
        at=run.started_at if run is not None else at or timezone.now(),
    )


def _check_run(plan: FirstStart, rule: StepRule, run: Run | None) -> None:
    if rule.kind == CHECK:
        fault = "A check is done by no run." if run is not None else ""
    elif run is None:
        fault = f"“{rule.name}” is done by a run; record it, or name the one that is recorded."
    else:
        fault = _run_fault(plan, rule, run)
    if fault:
        raise DomainError(fault, code="run_not_of_step", fields={"run": fault})


def _run_fault(plan: FirstStart, rule: StepRule, run: Run) -> str:
    if run.engine_id != plan.engine_id or run.is_void:
        return "That run is another engine's, or void."
    if run.kind != rule.run_kind:
        wanted = Run.Kind(rule.run_kind).label.lower()
        return f"That run is recorded as {run.get_kind_display().lower()}, and the step asks for {wanted}."
    if run.started_at < plan.cause.at:
        return f"That run began before the plan was asked for, {timezone.localtime(plan.cause.at):%Y-%m-%d %H:%M}."
    return "That run was recorded of a step before." if hasattr(run, "first_start_line") else ""


@transaction.atomic
def plan_end(*, plan: FirstStart, outcome: str, on: date, by: AbstractBaseUser, remarks: str = "") -> FirstStartEnd:
    """End a plan: completed, or not called for after all.

    Raises DomainError "plan_ended", "step_not_in_turn" where it is not complete, "outcome_unknown", "text_missing"
    where nothing says why it was not called for, and "date_impossible".
    """
    plan = plan_held(plan)
    _check_end(plan, outcome, remarks)
    if not timezone.localdate(_last_moment(plan)) <= on <= timezone.localdate():
        words = "Give a day from the last of what is recorded of it to today."
        raise DomainError(words, code="date_impossible", fields={"on": words})
    return FirstStartEnd.objects.create(plan=plan, outcome=outcome, on=on, remarks=remarks.strip(), by_id=by.pk)


def _check_end(plan: FirstStart, outcome: str, remarks: str) -> None:
    if outcome not in FirstStartEnd.Outcome.values:
        words = "Choose how the plan ends."
        raise DomainError(words, code="outcome_unknown", fields={"outcome": words})
    if outcome == FirstStartEnd.Outcome.COMPLETED and plan.progress.step is not None:
        words = f"The plan is not complete: {plan.progress.words}."
        raise DomainError(words, code="step_not_in_turn", fields={"outcome": words})
    if outcome == FirstStartEnd.Outcome.NOT_CALLED_FOR and not remarks.strip():
        words = "Say why it was not called for."
        raise DomainError(words, code="text_missing", fields={"remarks": words})


def _last_moment(plan: FirstStart) -> datetime:
    return max([plan.cause.at, *(line.at for line in plan.standing_lines)])


def plan_held(plan: FirstStart) -> FirstStart:
    """Return a plan that has not ended, held until the transaction ends; DomainError "plan_ended" otherwise."""
    found = FirstStart.objects.select_for_update(of=("self",)).select_related("revision", "engine__engine_type")
    plan = found.prefetch_related("causes", "lines__run").get(pk=plan.pk)
    if not plan.is_open:
        raise DomainError(f"This plan has ended: {plan.end}.", code="plan_ended")
    return plan

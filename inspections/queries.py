"""Reads of what runs called for; everything is reached through the person who asks."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import Exists, OuterRef, Q, QuerySet

from engines.models import Engine, Run
from inspections import states
from inspections.models import Exceedance, Handover, Inspection, Judgement, Step

if TYPE_CHECKING:
    from collections.abc import Iterable

    from django.contrib.auth.models import AbstractBaseUser


@dataclass(frozen=True)
class Condition:
    """An engine's condition, derived from what is unsettled; nobody types it."""

    is_serviceable: bool
    reasons: tuple[str, ...] = ()
    open_count: int = 0

    @property
    def label(self) -> str:
        """Return the condition in a word."""
        return "Serviceable" if self.is_serviceable else "Unserviceable"


def inspection_list(user: AbstractBaseUser) -> QuerySet[Inspection]:
    """Return the operator's inspections, oldest first."""
    found = Inspection.objects.filter(operator_id=getattr(user, "operator_id", None) or 0)
    return found.select_related("engine__engine_type", "run", "revision", "assigned_to", "operator")


def inspection_open_list(user: AbstractBaseUser) -> QuerySet[Inspection]:
    """Return the operator's inspections that are not settled."""
    return inspection_list(user).filter(state__in=states.UNSETTLED)


def inspection_for(user: AbstractBaseUser, pk: int) -> Inspection:
    """Return one inspection; Inspection.DoesNotExist where the person may not see it."""
    return inspection_list(user).select_related("run__engine", "second_by").get(pk=pk)


def judgement_of(run: Run) -> Judgement | None:
    """Return the judgement that stands for a run, or None while it has no evidence."""
    return run.judgements.filter(is_current=True).select_related("revision", "trace").first()


def judgement_list(user: AbstractBaseUser) -> QuerySet[Judgement]:
    """Return every judgement of the operator's runs, those that stand and those that later ones replaced."""
    found = Judgement.objects.filter(run__operator_id=getattr(user, "operator_id", None) or 0)
    return found.select_related("run__engine__engine_type", "revision__entered_by", "revision__checked_by", "trace")


def judgement_for(user: AbstractBaseUser, pk: int) -> Judgement:
    """Return one judgement; Judgement.DoesNotExist where the person may not see it."""
    return judgement_list(user).get(pk=pk)


def exceedances_of(run: Run) -> QuerySet[Exceedance]:
    """Return the exceedances and near misses of the judgement that stands."""
    return Exceedance.objects.filter(judgement__run=run, judgement__is_current=True).select_related("inspection")


def reason_of(inspection: Inspection) -> str:
    """Return why an inspection holds its engine, in words."""
    said = {states.OPEN: "is open", states.IN_WORK: "is in work", states.NOT_APPROVED: "was not approved"}
    return f"Inspection {inspection.number} {said[inspection.state]}: {inspection.summary}"


def conditions_of(engines: Iterable[Engine]) -> dict[int, Condition]:
    """Return the condition of each of several engines, in one query."""
    unsettled: dict[int, list[Inspection]] = defaultdict(list)
    engines = list(engines)
    for inspection in Inspection.objects.filter(engine__in=engines, state__in=states.UNSETTLED):
        unsettled[inspection.engine_id].append(inspection)
    return {engine.pk: condition_by(unsettled[engine.pk]) for engine in engines}


def condition_of(engine: Engine) -> Condition:
    """Return the condition of one engine."""
    return conditions_of([engine])[engine.pk]


def condition_by(unsettled: list[Inspection]) -> Condition:
    """Return the condition of an engine by all of its inspections that are not settled."""
    holding = [i for i in unsettled if states.holds_engine(i.state, before_next_flight=i.before_next_flight)]
    return Condition(
        is_serviceable=not holding, reasons=tuple(reason_of(i) for i in holding), open_count=len(unsettled)
    )


def handover_list(user: AbstractBaseUser) -> QuerySet[Handover]:
    """Return the operator's handovers, oldest first."""
    found = Handover.objects.filter(inspection__operator_id=getattr(user, "operator_id", None) or 0)
    return found.select_related("inspection__engine", "told_to", "by", "taking__by")


def handover_for(user: AbstractBaseUser, pk: int) -> Handover:
    """Return one handover; Handover.DoesNotExist where the person may not see it."""
    return handover_list(user).get(pk=pk)


def handovers_waiting(user: AbstractBaseUser) -> QuerySet[Handover]:
    """Return the operator's handovers that nobody has taken and no newer one replaces, of open inspections."""
    newer = Handover.objects.filter(inspection=OuterRef("inspection"), pk__gt=OuterRef("pk"))
    waiting = handover_list(user).filter(taking__isnull=True, inspection__state__in=states.UNSETTLED)
    return waiting.filter(~Exists(newer))


def jobs_of(user: AbstractBaseUser) -> QuerySet[Inspection]:
    """Return the open inspections that a person has in hand, or answered steps of while nobody else has them."""
    worked = Exists(Step.objects.filter(inspection=OuterRef("pk"), answered_by=user.pk))
    return inspection_open_list(user).filter(Q(assigned_to=user.pk) | Q(worked, assigned_to__isnull=True))

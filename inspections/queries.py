"""Reads of what runs called for; everything is reached through the person who asks."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import QuerySet

from engines.models import Engine, Run
from inspections import states
from inspections.models import Exceedance, Inspection, Judgement

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
    return inspection_list(user).get(pk=pk)


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
    return {engine.pk: _condition(unsettled[engine.pk]) for engine in engines}


def condition_of(engine: Engine) -> Condition:
    """Return the condition of one engine."""
    return conditions_of([engine])[engine.pk]


def _condition(unsettled: list[Inspection]) -> Condition:
    holding = [i for i in unsettled if states.holds_engine(i.state, before_next_flight=i.before_next_flight)]
    return Condition(
        is_serviceable=not holding, reasons=tuple(reason_of(i) for i in holding), open_count=len(unsettled)
    )

"""Reads of what runs called for; everything is reached through the person who asks."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.db.models import Exists, OuterRef, Q, QuerySet

from engines.due import NOT_KNOWN, REACHED, is_passed
from engines.due_words import left_words
from engines.models import Engine, Run
from engines.standing import Standing, standings_of
from inspections import states
from inspections.models import Exceedance, Handover, Inspection, Judgement, Step

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

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


def conditions_of(
    engines: Iterable[Engine], standings: Mapping[int, Iterable[Standing]] | None = None
) -> dict[int, Condition]:
    """Return the condition of each of several engines, in as many queries as one takes.

    ``standings`` is how their tasks stand, where that is read already.
    """
    unsettled: dict[int, list[Inspection]] = defaultdict(list)
    engines = list(engines)
    for inspection in Inspection.objects.filter(engine__in=engines, state__in=states.UNSETTLED):
        unsettled[inspection.engine_id].append(inspection)
    tasks = standings_of(engines) if standings is None else standings
    return {engine.pk: condition_by(unsettled[engine.pk], tasks[engine.pk]) for engine in engines}


def condition_of(engine: Engine) -> Condition:
    """Return the condition of one engine."""
    return conditions_of([engine])[engine.pk]


def condition_by(unsettled: list[Inspection], standings: Iterable[Standing]) -> Condition:
    """Return the condition of an engine by all of its inspections that are not settled, and how its tasks stand."""
    holding = [i for i in unsettled if states.holds_engine(i.state, before_next_flight=i.before_next_flight)]
    reasons = (*map(reason_of, holding), *map(overdue_words, overdue_of(standings)))
    return Condition(is_serviceable=not reasons, reasons=reasons, open_count=len(unsettled))


def overdue_of(standings: Iterable[Standing]) -> list[Standing]:
    """Return the mandatory tasks that are overdue, or of which that can't be known."""
    return [s for s in standings if s.task.mandatory and s.state in (REACHED, NOT_KNOWN)]


def overdue_words(standing: Standing) -> str:
    """Return why a task holds its engine, in words."""
    named = f"{standing.title} ({standing.kind_words.lower()})"
    if standing.state == NOT_KNOWN:
        return f"Not known: {named} goes by the calendar, and it is not recorded when it was last done"
    return f"Overdue: {named}, {', '.join(left_words(part) for part in standing.left if is_passed(part))}"


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

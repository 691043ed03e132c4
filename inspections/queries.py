"""Reads of what runs called for; everything is reached through the person who asks."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from django.db.models import Aggregate, Exists, JSONField, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import JSONObject
from django.utils import timezone

from engines.due import NOT_KNOWN, REACHED, is_passed
from engines.due_words import left_words
from engines.models import Engine, Run
from engines.part_due import PartStanding, part_standings_of
from engines.queries import times_read, with_times
from engines.standing import Standing, next_due, standings_of, with_tasks
from inspections import states
from inspections.models import Exceedance, Handover, Inspection, Judgement, Step

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from django.contrib.auth.models import AbstractBaseUser

    from engines.times import Times

TOLD = ("number", "summary", "state", "before_next_flight")


class JSONList(Aggregate):
    """Values together as a list, as both databases make one."""

    function = "JSON_GROUP_ARRAY"
    output_field = JSONField()

    def as_postgresql(self, compiler: Any, connection: Any) -> Any:
        """Return it as PostgreSQL calls it."""
        return self.as_sql(compiler, connection, function="JSONB_AGG")


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
    """Return the operator's inspections that are not settled, of engines that were not handed over."""
    return inspection_list(user).filter(state__in=states.UNSETTLED, engine__left_at=None)


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


@dataclass(frozen=True)
class Due:
    """How the tasks of some engines stand, and the limits of the parts that run with them, by the engine's key."""

    tasks: Mapping[int, list[Standing]]
    parts: Mapping[int, list[PartStanding]]

    def overdue(self, engine: Engine) -> tuple[str, ...]:
        """Return what is overdue on an engine, or can't be known not to be, in words."""
        return (
            *map(overdue_words, overdue_of(self.tasks.get(engine.pk, ()))),
            *map(overrun_words, overrun_of(self.parts.get(engine.pk, ()))),
        )

    def next(self, engine: Engine) -> Standing | PartStanding | None:
        """Return the task or the limit of a part that is overdue or has the least left; None where nothing is kept."""
        return next_due([*self.tasks.get(engine.pk, ()), *self.parts.get(engine.pk, ())])


def due_of(engines: Iterable[Engine], times: Mapping[int, Times] | None = None) -> Due:
    """Return how the tasks of engines and the limits of their parts stand today; ``times`` are theirs where read."""
    engines = list(engines)
    if times is None:
        read = with_times(with_tasks(Engine.objects.filter(pk__in=[engine.pk for engine in engines])))
        engines = list(read.select_related("engine_type", "operator"))
        times = times_read(engines)
    return Due(standings_of(engines, times=times), part_standings_of(engines, timezone.localdate()))


def with_unsettled(engines: QuerySet[Engine]) -> QuerySet[Engine]:
    """Return engines with their inspections that are not settled, read in the same query."""
    told = JSONObject(**{name: name for name in TOLD})
    unsettled = Inspection.objects.filter(engine=OuterRef("pk"), state__in=states.UNSETTLED)
    listed = unsettled.order_by().values("engine").annotate(told=JSONList(told)).values("told")
    return engines.annotate(unsettled_told=Subquery(listed, output_field=JSONField()))


def _unsettled(engines: list[Engine]) -> dict[int, list[Inspection]]:
    """Return the inspections of engines that are not settled, oldest first; in no query where the engines came so."""
    found: dict[int, list[Inspection]] = defaultdict(list)
    if all(hasattr(engine, "unsettled_told") for engine in engines):
        for engine in engines:
            told = engine.unsettled_told or ()  # type: ignore[attr-defined]
            found[engine.pk] = [Inspection(**row) for row in sorted(told, key=lambda row: int(row["number"]))]
        return found
    for inspection in Inspection.objects.filter(engine__in=engines, state__in=states.UNSETTLED):
        found[inspection.engine_id].append(inspection)
    return found


def conditions_of(engines: Iterable[Engine], due: Due | None = None) -> dict[int, Condition]:
    """Return the condition of each of several engines, in as many queries as one takes.

    ``due`` is how their tasks and the limits of their parts stand, where that is read already.
    """
    engines = list(engines)
    unsettled, due = _unsettled(engines), due or due_of(engines)
    return {engine.pk: condition_by(unsettled[engine.pk], due.overdue(engine)) for engine in engines}


def condition_of(engine: Engine) -> Condition:
    """Return the condition of one engine."""
    return conditions_of([engine])[engine.pk]


def condition_by(unsettled: list[Inspection], overdue: Iterable[str]) -> Condition:
    """Return the condition of an engine by all of its inspections that are not settled, and what is overdue."""
    holding = [i for i in unsettled if states.holds_engine(i.state, before_next_flight=i.before_next_flight)]
    reasons = (*map(reason_of, holding), *overdue)
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


def overrun_of(standings: Iterable[PartStanding]) -> list[PartStanding]:
    """Return the limits of parts that are reached or passed, or of which that can't be known."""
    return [standing for standing in standings if standing.state in (REACHED, NOT_KNOWN)]


def overrun_words(standing: PartStanding) -> str:
    """Return why limits of a part hold its engine, in words."""
    named = f"{standing.title} ({standing.kind_words.lower()})"
    if standing.state == NOT_KNOWN:
        return f"Not known: {named} goes by the calendar, and the day from which it counts is not recorded"
    is_over = any(part.left < 0 for part in standing.passed)
    left = ", ".join(map(left_words, standing.passed))
    return f"{'Overrun' if is_over else 'Limit reached'}: {named}, {left}"


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

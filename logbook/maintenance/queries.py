"""Reads of work, of discrepancies, and of what of them holds an engine."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from django.db.models import OuterRef, Prefetch, Q, QuerySet, Subquery

from engines.standing import standings_of
from inspections.queries import overdue_of, overdue_words
from logbook.maintenance.rows import Discrepancy, DiscrepancyLine, Work

if TYPE_CHECKING:
    from collections.abc import Iterable

    from engines.models import Engine
    from logbook.models import Person

HOLDING = (Work.Kind.WORK, Work.Kind.INSPECTION)


def work_list(user: Person) -> QuerySet[Work]:
    """Return the operator's work, signed and dropped too."""
    found = Work.objects.filter(operator_id=user.operator_id or 0)
    return found.select_related(
        "engine__engine_type", "engine__operator", "opened_by", "changed_by", "second_by", "entry"
    )


def work_for(user: Person, pk: int) -> Work:
    """Return one piece of work; Work.DoesNotExist where the person may not see it."""
    return work_list(user).get(pk=pk)


def discrepancy_list(user: Person) -> QuerySet[Discrepancy]:
    """Return the operator's discrepancies, each with how it stands now and all that became of it."""
    return with_states(Discrepancy.objects.filter(operator_id=user.operator_id or 0))


def with_states(discrepancies: QuerySet[Discrepancy]) -> QuerySet[Discrepancy]:
    """Return discrepancies with ``state_now``, that of their newest line, and their lines read."""
    newest = DiscrepancyLine.objects.filter(discrepancy=OuterRef("pk")).order_by("-pk").values("state")[:1]
    lines = Prefetch("lines", DiscrepancyLine.objects.select_related("entry__signed_by"))
    return discrepancies.annotate(state_now=Subquery(newest)).select_related("engine", "entry").prefetch_related(lines)


def unsettled(engine: Engine, state: str) -> QuerySet[Discrepancy]:
    """Return the discrepancies of an engine that stand in a state now."""
    return with_states(engine.discrepancies.all()).filter(Q(state_now=state))


def holding(engines: Iterable[Engine]) -> dict[int, list[str]]:
    """Return what holds engines besides inspections and tasks, in two queries: work not signed, open discrepancies."""
    engines = list(engines)
    found: dict[int, list[str]] = defaultdict(list)
    for work in Work.objects.filter(engine__in=engines, state=Work.State.OPEN, kind__in=HOLDING):
        found[work.engine_id].append(f"{work} is begun and not signed")
    open_now = with_states(Discrepancy.objects.filter(engine__in=engines)).filter(
        Q(state_now=DiscrepancyLine.State.OPEN)
    )
    for discrepancy in open_now.prefetch_related(None).select_related(None):
        found[discrepancy.engine_id].append(f"{discrepancy.text.rstrip('.')} (discrepancy {discrepancy.number})")
    return found


def overdue_on(engine: Engine) -> list[str]:
    """Return the mandatory tasks of an engine that are overdue, in words."""
    return [overdue_words(standing) for standing in overdue_of(standings_of([engine])[engine.pk])]

"""Reads of acts on parts that other programs sent."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from engines.models import Component, Engine
from engines.part_queries import component_list
from logbook.part_drafts.rows import PartDraft

if TYPE_CHECKING:
    from collections.abc import Iterable
    from uuid import UUID

    from logbook.models import Person

Kind = PartDraft.Kind
# Work done on an engine, which is not operated until the entry is made (14 CFR 91.407(a)).
WORK: Final = (Kind.FIT, Kind.REMOVE, Kind.MOVE, Kind.DONE)


def draft_list(user: Person) -> QuerySet[PartDraft]:
    """Return the operator's drafts, signed and dropped ones too, oldest first."""
    found = PartDraft.objects.filter(operator_id=user.operator_id or 0)
    return found.select_related("component", "engine", "other_engine", "sent_by", "closed_by")


def draft_for(user: Person, pk: UUID) -> PartDraft:
    """Return one draft; PartDraft.DoesNotExist where the person may not see it."""
    return draft_list(user).get(pk=pk)


def drafts_open(user: Person) -> QuerySet[PartDraft]:
    """Return the operator's drafts that nobody has signed or dropped, oldest first."""
    return draft_list(user).filter(state=PartDraft.State.OPEN)


def drafts_of(components: Iterable[Component], engine: Engine | None = None) -> QuerySet[PartDraft]:
    """Return the open drafts about some parts, or about work on an engine."""
    about = Q(component__in=[component.pk for component in components])
    if engine is not None:
        about |= Q(engine=engine) | Q(other_engine=engine)
    return PartDraft.objects.filter(about, state=PartDraft.State.OPEN)


def component_shown(user: Person, pk: int) -> Component:
    """Return one component, in one query with the first open draft about it, and how many there are.

    Component.DoesNotExist where the person may not see it.
    """
    drafts = PartDraft.objects.filter(component=OuterRef("pk"), state=PartDraft.State.OPEN)
    first = drafts.order_by("since")
    counted = drafts.order_by().values("component").annotate(count=Count("pk")).values("count")
    told: dict[str, Any] = {f"waiting_{name}": Subquery(first.values(name)[:1]) for name in ("pk", "title")}
    told["waiting_count"] = Coalesce(Subquery(counted), 0)
    return component_list(user).annotate(**told).get(pk=pk)


def work_waiting() -> QuerySet[PartDraft]:
    """Return the open drafts of what was done on engines."""
    return PartDraft.objects.filter(state=PartDraft.State.OPEN, kind__in=WORK)

"""The runs of a first-start plan: those that may be named for its step in turn, and motoring besides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engines.models import FirstStart, Run

if TYPE_CHECKING:
    from django.db.models import QuerySet


def runs_offered(plan: FirstStart) -> QuerySet[Run]:
    """Return the runs that are recorded and may be named for the step in turn, newest first."""
    rule = plan.progress.step
    found = plan.engine.runs.filter(kind=rule.run_kind if rule else "", is_void=False, first_start_line=None)
    return found.filter(started_at__gte=plan.cause.at).order_by("-started_at")


def motoring_since(plan: FirstStart) -> QuerySet[Run]:
    """Return the motoring runs of an engine since its plan was asked for first that stand for no step of it."""
    kinds = (Run.Kind.DRY_MOTORING, Run.Kind.WET_MOTORING, Run.Kind.MOTORING)
    begun = min(cause.at for cause in plan.causes.all())
    found = plan.engine.runs.filter(kind__in=kinds, is_void=False, first_start_line=None, started_at__gte=begun)
    if not plan.is_open:
        found = found.filter(started_at__lte=plan.end.at)
    return found.select_related("supervisor").order_by("started_at")

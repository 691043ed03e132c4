"""Reads of the ground floor; everything is reached through the person who asks."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

from django.db.models import Q, QuerySet, Sum

from engines.keying import charts_to_key
from engines.models import Component, Engine, EngineType, KeyedChart, PartMovement, Run, RunTrace, TypeRevision
from engines.times import Times, total
from engines.trace_codec import trace_unpack

if TYPE_CHECKING:
    from uuid import UUID

    from django.contrib.auth.models import AbstractBaseUser

    from engines.traces import Recording

COUNTERS = ("run_time_s", "time_in_service_s", "starts", "cycles")


def _operator_of(user: AbstractBaseUser) -> int:
    """Return the operator whose records the person sees; 0, which owns nothing, for a person of none."""
    return getattr(user, "operator_id", None) or 0


def engine_type_list(user: AbstractBaseUser) -> QuerySet[EngineType]:
    """Return the operator's engine types."""
    return EngineType.objects.filter(operator_id=_operator_of(user))


def engine_type_for(user: AbstractBaseUser, pk: int) -> EngineType:
    """Return one engine type; EngineType.DoesNotExist where the person may not see it."""
    return engine_type_list(user).get(pk=pk)


def revision_list(user: AbstractBaseUser) -> QuerySet[TypeRevision]:
    """Return all revisions of the operator's types."""
    found = TypeRevision.objects.filter(engine_type__operator_id=_operator_of(user))
    return found.select_related("engine_type", "entered_by", "checked_by")


def revision_for(user: AbstractBaseUser, pk: int) -> TypeRevision:
    """Return one revision; TypeRevision.DoesNotExist where the person may not see it."""
    return revision_list(user).get(pk=pk)


def revision_in_force(engine_type: EngineType, on: date) -> TypeRevision:
    """Return the revision that judges runs of a day: the newest adopted one whose date has come, else the first."""
    adopted = engine_type.revisions.filter(is_adopted=True)
    come = adopted.filter(Q(in_force_from__isnull=True) | Q(in_force_from__lte=on)).order_by("number").last()
    return come or adopted.earliest("number")


def adopted_before(revision: TypeRevision) -> TypeRevision:
    """Return the adopted revision before this one; the first revision is compared with itself."""
    before = revision.engine_type.revisions.filter(is_adopted=True, number__lt=revision.number)
    return before.order_by("number").last() or revision


def keyings_of(revision: TypeRevision) -> dict[str, KeyedChart]:
    """Return the newest second keying of each chart of a revision."""
    return {row.chart: row for row in revision.keyed_charts.select_related("keyed_by").order_by("pk")}


def charts_unkeyed_by(revision: TypeRevision, person: AbstractBaseUser) -> list[str]:
    """Return the changed charts of a draft that a person, who did not enter it, has yet to key without seeing them."""
    if revision.is_adopted or revision.entered_by_id == person.pk:
        return []
    own = set(revision.keyed_charts.filter(keyed_by=person.pk).values_list("chart", flat=True))
    changed = charts_to_key(adopted_before(revision).data, revision.data)
    return [chart.name for chart in changed if chart.name not in own]


def engine_list(user: AbstractBaseUser) -> QuerySet[Engine]:
    """Return the operator's engines."""
    return Engine.objects.filter(operator_id=_operator_of(user)).select_related("engine_type", "operator")


def engine_for(user: AbstractBaseUser, pk: int) -> Engine:
    """Return one engine; Engine.DoesNotExist where the person may not see it."""
    return engine_list(user).get(pk=pk)


def run_list(user: AbstractBaseUser) -> QuerySet[Run]:
    """Return the operator's runs, newest first."""
    found = Run.objects.filter(operator_id=_operator_of(user))
    return found.select_related("engine__engine_type", "engine__operator", "recorded_by")


def run_for(user: AbstractBaseUser, pk: UUID | str) -> Run:
    """Return one run; Run.DoesNotExist where the person may not see it."""
    return run_list(user).get(pk=pk)


def newest_trace(run: Run) -> RunTrace | None:
    """Return the trace of a run that is judged, or None."""
    return run.traces.order_by("pk").last()


def recording_of(trace: RunTrace) -> Recording:
    """Return a stored trace in memory; TraceError where the file is damaged."""
    with trace.packed.open("rb") as file:
        return trace_unpack(file.read())


def opening_of(engine: Engine) -> Times:
    """Return what an engine had used when its record here began."""
    return Times(
        engine.opening_run_time_s, engine.opening_time_in_service_s, engine.opening_starts, engine.opening_cycles
    )


def used_in(runs: QuerySet[Run]) -> Times:
    """Return what some runs count for together."""
    sums = runs.order_by().aggregate(**{name: Sum(name, default=0) for name in COUNTERS})
    return Times(**sums)


def engine_times(engine: Engine, until: datetime | None = None) -> Times:
    """Return what an engine has used since new, up to and with the run that began at ``until``."""
    runs = engine.runs.all() if until is None else engine.runs.filter(started_at__lte=until)
    return opening_of(engine) + used_in(runs)


def engines_times(engines: list[Engine]) -> dict[int, Times]:
    """Return what each of several engines has used, in one query."""
    runs = Run.objects.filter(engine__in=engines).order_by()
    sums = runs.values_list("engine").annotate(*(Sum(name) for name in COUNTERS))
    used = {engine: Times(*counts) for engine, *counts in sums}
    return {engine.pk: opening_of(engine) + used.get(engine.pk, Times()) for engine in engines}


def component_list(user: AbstractBaseUser) -> QuerySet[Component]:
    """Return the operator's components."""
    return Component.objects.filter(operator_id=_operator_of(user)).prefetch_related("movements__engine")


def component_for(user: AbstractBaseUser, pk: int) -> Component:
    """Return one component; Component.DoesNotExist where the person may not see it."""
    return component_list(user).get(pk=pk)


def fitted_at(component: Component) -> PartMovement | None:
    """Return the line of the ledger by which a component is fitted now, or None while it is off."""
    last = list(component.movements.all())[-1:]
    return last[0] if last and last[0].kind == PartMovement.Kind.FITTED else None


def components_fitted(engine: Engine) -> list[Component]:
    """Return the components fitted to an engine now."""
    moved = Component.objects.filter(movements__engine=engine).distinct().prefetch_related("movements__engine")
    return [c for c in moved if (line := fitted_at(c)) is not None and line.engine_id == engine.pk]


def _intervals(component: Component) -> list[tuple[Engine, datetime, datetime | None]]:
    """Return where a component was fitted, from when, and until when; None while it still is."""
    lines = list(component.movements.all())
    ends: list[datetime | None] = [*(line.at for line in lines[1:]), None]
    return [
        (line.engine, line.at, end)
        for line, end in zip(lines, ends, strict=False)
        if line.kind == PartMovement.Kind.FITTED
    ]


def component_times(component: Component, until: datetime | None = None) -> Times:
    """Return what a component has used: what it brought, and its engine's runs in each interval it was fitted.

    ``until`` is the beginning of the last run that counts.
    """
    brought = Times(
        run_time_s=component.brought_run_time_s, starts=component.brought_starts, cycles=component.brought_cycles
    )
    used = []
    for engine, start, end in _intervals(component):
        runs = engine.runs.filter(started_at__gte=start)
        runs = runs if end is None else runs.filter(started_at__lt=end)
        used.append(used_in(runs if until is None else runs.filter(started_at__lte=until)))
    return total([brought, *used])

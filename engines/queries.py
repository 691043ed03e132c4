"""Reads of the ground floor; everything is reached through the person who asks."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

from django.db.models import JSONField, OuterRef, Q, QuerySet, Subquery, UUIDField
from django.db.models.functions import JSONObject

from engines.keying import charts_to_key
from engines.models import (
    Engine,
    EngineCalibration,
    EngineType,
    KeyedChart,
    Run,
    RunCorrection,
    RunTrace,
    TypeRevision,
    UsagePoint,
)
from engines.models.usage import COUNTERS, columns_read, runs_sum
from engines.readings_as import readings_as
from engines.times import Times
from engines.trace_codec import trace_unpack

if TYPE_CHECKING:
    from collections.abc import Iterable
    from uuid import UUID

    from django.contrib.auth.models import AbstractBaseUser

    from engines.calibration import Calibration
    from engines.charts import EngineTypeData
    from engines.evidence import RunFacts
    from engines.readings_as import ReadAs
    from engines.traces import Recording


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


def engines_here(user: AbstractBaseUser) -> QuerySet[Engine]:
    """Return the operator's engines that were not handed over to another owner."""
    return engine_list(user).filter(left_at=None)


def stays_of_engine(engine: Engine) -> QuerySet[Engine]:
    """Return the other times that an engine was with its operator, the latest first."""
    others = Engine.objects.filter(operator=engine.operator_id, serial=engine.serial).exclude(pk=engine.pk)
    return others.order_by("-pk")


def engine_for(user: AbstractBaseUser, pk: int) -> Engine:
    """Return one engine; Engine.DoesNotExist where the person may not see it."""
    return engine_list(user).get(pk=pk)


def run_list(user: AbstractBaseUser) -> QuerySet[Run]:
    """Return the operator's runs, newest first."""
    found = Run.objects.filter(operator_id=_operator_of(user))
    return found.select_related("engine__engine_type", "engine__operator", "recorded_by", "supervisor")


def run_for(user: AbstractBaseUser, pk: UUID | str) -> Run:
    """Return one run; Run.DoesNotExist where the person may not see it."""
    return run_list(user).get(pk=pk)


def with_corrections(engines: QuerySet[Engine]) -> QuerySet[Engine]:
    """Return engines with when a run of theirs was corrected last, and which one, read in the same query."""
    newest = RunCorrection.objects.filter(run__engine=OuterRef("pk")).order_by("-at", "-pk")
    return engines.annotate(
        corrected_at=Subquery(newest.values("at")[:1]),
        corrected_run=Subquery(newest.values("run")[:1], output_field=UUIDField()),
    )


def newest_trace(run: Run) -> RunTrace | None:
    """Return the trace of a run that is judged, or None."""
    return run.traces.order_by("pk").last()


def recording_of(trace: RunTrace) -> Recording:
    """Return a stored trace in memory; TraceError where the file is damaged."""
    with trace.packed.open("rb") as file:
        return trace_unpack(file.read())


def opening_of(engine: Engine) -> Times:
    """Return what an engine had used when its record here began."""
    return engine.opening


def used_in(runs: QuerySet[Run]) -> Times:
    """Return what some runs count for together."""
    return runs_sum(runs)


def engine_times(engine: Engine, until: datetime | None = None) -> Times:
    """Return what an engine has used since new, up to and with the run that began at ``until``."""
    whole = engines_times([engine])[engine.pk]
    # Taken off from the end, as what is asked about is mostly recent.
    later = engine.runs.filter(started_at__gt=until) if until is not None else None
    return whole if later is None else whole - runs_sum(later)


def with_times(engines: QuerySet[Engine]) -> QuerySet[Engine]:
    """Return engines with what their runs count for, read in the same query; for ``times_read``."""
    whole = UsagePoint.objects.filter(engine=OuterRef("pk"), at=None)
    counted = whole.values(counted=JSONObject(**{name: name for name in (*COUNTERS, "other")}))
    return engines.annotate(counted=Subquery(counted, output_field=JSONField()))


def times_read(engines: Iterable[Engine]) -> dict[int, Times]:
    """Return what each of several engines had used when it was read ``with_times``."""
    return {e.pk: opening_of(e) + columns_read(e.counted or {}) for e in engines}  # type: ignore[attr-defined]


def engines_times(engines: Iterable[Engine]) -> dict[int, Times]:
    """Return what each of several engines has used, in one query that reads none of their runs."""
    engines = list(engines)
    used = {point.engine_id: point.times for point in UsagePoint.objects.filter(engine__in=engines, at=None)}
    return {engine.pk: opening_of(engine) + used.get(engine.pk, Times()) for engine in engines}


def calibrations_for(engine: Engine, facts: RunFacts, data: EngineTypeData) -> dict[str, Calibration]:
    """Return the engine's own calibrations of the day of a run, where a reading of it is typed in another unit."""
    units = {chart.name: chart.unit for chart in data.charts}
    is_other = any(reading.unit not in ("", units.get(reading.chart)) for reading in facts.readings)
    return calibrations_on(engine, facts.started_at.date()) if is_other else {}


def readings_turned(engine: Engine, facts: RunFacts, data: EngineTypeData) -> dict[int, ReadAs]:
    """Return what readings of a run typed in other units are in those of their limits, by place.

    Raises UnitError where a unit measures something else.
    """
    return readings_as(facts.readings, data, calibrations_for(engine, facts, data))


def calibrations_on(engine: Engine, on: date) -> dict[str, Calibration]:
    """Return an engine's own calibrations that hold on a day, by channel: of each the one that began last."""
    rows = EngineCalibration.objects.filter(engine=engine, begins_on__lte=on, replaced_by=None)
    return {row.channel: row.data for row in rows.order_by("begins_on", "pk")}

"""What a record is made of: which rows go with an engine or a part, each naming only rows of tables before its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final
from uuid import UUID

from django.db.models import Field, FileField, ForeignKey, Model, Q, QuerySet

from engines.models import (
    ColumnSetup,
    Component,
    CruiseSetting,
    Engine,
    EngineCalibration,
    EngineType,
    FirstStart,
    FirstStartCause,
    FirstStartEnd,
    FirstStartLine,
    FuelFigures,
    KeyedChart,
    MeterChange,
    MovementVoid,
    Operator,
    PartDone,
    PartLimit,
    PartMovement,
    PowerCheckRecord,
    ProgrammeSelection,
    Reading,
    Run,
    RunCorrection,
    RunTrace,
    StartCheck,
    Task,
    TaskRecord,
    TraceExtreme,
    TypedReason,
    TypeRevision,
)
from inspections.models import (
    CorrectiveAction,
    Exceedance,
    Finding,
    Handover,
    Inspection,
    InspectionNote,
    Judgement,
    Release,
    Step,
    Taking,
)
from logbook.models import Concern, Discrepancy, DiscrepancyLine, PartStatement, Person, Photo, Settlement, Work


@dataclass(frozen=True)
class Scope:
    """What is handed over: an engine with the parts that are on it, or parts alone."""

    engine: Engine | None
    components: tuple[Component, ...]


@dataclass(frozen=True)
class Table:
    """Rows of one model under a name; ``engine`` and ``component`` lead from a row to what it goes with."""

    name: str
    model: type[Model]
    engine: str = ""
    component: str = ""

    def rows(self, scope: Scope) -> QuerySet[Any]:
        """Return the rows that go with a scope."""
        wanted = Q(pk__in=())
        if self.engine and scope.engine is not None:
            wanted |= Q(**{self.engine: scope.engine.pk})
        if self.component:
            wanted |= Q(**{f"{self.component}__in": [component.pk for component in scope.components]})
        return self.model._default_manager.filter(wanted).distinct().order_by("pk")


class Adopted(Table):
    """Rows of the revisions that judged; a draft is nobody's limits yet."""

    def rows(self, scope: Scope) -> QuerySet[Any]:
        path = "is_adopted" if self.model is TypeRevision else "revision__is_adopted"
        return super().rows(scope).filter(**{path: True})


class Photographed(Table):
    """Photos; those that were struck, or of work that was never signed, are left behind."""

    def rows(self, scope: Scope) -> QuerySet[Any]:
        return super().rows(scope).filter(Q(work=None) | Q(work__entry__isnull=False), strike=None)


class LimitsInForce(Table):
    """The limits in force of the parts."""

    def rows(self, scope: Scope) -> QuerySet[Any]:
        wanted = Q(pk__in=())
        for component in scope.components:
            own = Q(operator=component.operator_id, part_number=component.part_number)
            wanted |= own & Q(serial__in=("", component.serial))
        return PartLimit.objects.filter(wanted).order_by("pk")


TABLES: Final = (
    Table("engine_types", EngineType, "engines"),
    Adopted("type_revisions", TypeRevision, "engine_type__engines"),
    Adopted("keyed_charts", KeyedChart, "revision__engine_type__engines"),
    Table("column_setups", ColumnSetup, "engine_type__engines"),
    Table("engines", Engine, "pk"),
    Table("runs", Run, "engine"),
    Table("start_checks", StartCheck, "engine"),
    Table("first_starts", FirstStart, "engine"),
    Table("first_start_causes", FirstStartCause, "plan__engine"),
    Table("first_start_lines", FirstStartLine, "plan__engine"),
    Table("first_start_ends", FirstStartEnd, "plan__engine"),
    Table("programmes", ProgrammeSelection, "engine"),
    Table("run_corrections", RunCorrection, "run__engine"),
    Table("meter_changes", MeterChange, "engine"),
    Table("calibrations", EngineCalibration, "engine"),
    Table("power_checks", PowerCheckRecord, "engine"),
    Table("fuel_figures", FuelFigures, "run__engine"),
    Table("cruise_settings", CruiseSetting, "engine"),
    Table("readings", Reading, "run__engine"),
    Table("reasons", TypedReason, "run__engine"),
    Table("traces", RunTrace, "run__engine"),
    Table("extremes", TraceExtreme, "trace__run__engine"),
    Table("judgements", Judgement, "run__engine"),
    Table("inspections", Inspection, "engine"),
    Table("exceedances", Exceedance, "engine"),
    Table("steps", Step, "inspection__engine"),
    Table("findings", Finding, "inspection__engine"),
    Table("corrective_actions", CorrectiveAction, "inspection__engine"),
    Table("releases", Release, "inspection__engine"),
    Table("notes", InspectionNote, "inspection__engine"),
    Table("job_handovers", Handover, "inspection__engine"),
    Table("job_takings", Taking, "handover__inspection__engine"),
    Table("components", Component, component="pk"),
    LimitsInForce("part_limits", PartLimit),
    Table("part_done", PartDone, component="component"),
    Photographed("photos", Photo, "engine"),
    Table("tasks", Task, "engine", "component"),
    Table("task_records", TaskRecord, "engine", "component"),
)
# Told in a package, and not written again: parts come with what they had used, what is unsettled is opened anew.
TOLD: Final = (
    Table("movements", PartMovement, "engine", "component"),
    Table("movement_voids", MovementVoid, "movement__engine", "movement__component"),
    Table("part_statements", PartStatement, "entry__engine", "entry__component"),
    Table("discrepancies", Discrepancy, "engine"),
    Table("discrepancy_lines", DiscrepancyLine, "discrepancy__engine"),
    Table("concerns", Concern, "engine"),
    Table("settlements", Settlement, "concern__engine"),
)
TABLE_OF: Final = {table.model: table for table in TABLES}


def fields_of(model: type[Model]) -> Iterator[Field[Any, Any]]:
    """Yield the fields of a model that a package tells; files stand beside the record, and all is of one operator.

    Work is told by the entries that were signed of it, and is no table of its own.
    """
    for field in model._meta.concrete_fields:
        if not field.primary_key and not isinstance(field, FileField) and field.related_model not in (Operator, Work):
            yield field


def row_out(row: Model) -> dict[str, Any]:
    """Return a row as JSON tells it: its number under "id", rows and people that it names by theirs."""
    facts = {field.name: _plain(getattr(row, field.attname)) for field in fields_of(type(row))}
    return {"id": _plain(row.pk), **facts}


def people_of(row: Model) -> Iterator[int]:
    """Yield the numbers of the people whom a row names."""
    for field in fields_of(type(row)):
        if isinstance(field, ForeignKey) and field.related_model is Person and getattr(row, field.attname):
            yield getattr(row, field.attname)


def _plain(value: Any) -> Any:
    if isinstance(value, datetime | date):
        return value.isoformat()
    return str(value) if isinstance(value, UUID | Decimal) else value

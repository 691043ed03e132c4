"""Records of the ground floor."""

from engines.models.calibrations import EngineCalibration
from engines.models.checks import StartCheck
from engines.models.corrections import RunCorrection
from engines.models.first_starts import FirstStart, FirstStartCause, FirstStartEnd, FirstStartLine
from engines.models.fleet import ColumnSetup, Engine, EngineType, Operator, TypeRevision
from engines.models.keying import KeyedChart
from engines.models.limits import PartDone, PartLimit
from engines.models.meters import MeterChange
from engines.models.parts import Component, MovementVoid, PartMovement, PartStay
from engines.models.power import CruiseSetting, FuelFigures, PowerCheckRecord
from engines.models.programmes import ProgrammeSelection
from engines.models.reasons import TypedReason
from engines.models.runs import Reading, Run, RunTrace, TraceExtreme
from engines.models.tasks import Task, TaskRecord
from engines.models.usage import UsagePoint

__all__ = [
    "ColumnSetup",
    "Component",
    "CruiseSetting",
    "Engine",
    "EngineCalibration",
    "EngineType",
    "Operator",
    "FirstStart",
    "FirstStartCause",
    "FirstStartEnd",
    "FirstStartLine",
    "FuelFigures",
    "KeyedChart",
    "MeterChange",
    "MovementVoid",
    "PartDone",
    "PartLimit",
    "PartMovement",
    "PartStay",
    "PowerCheckRecord",
    "ProgrammeSelection",
    "Reading",
    "Run",
    "RunCorrection",
    "RunTrace",
    "StartCheck",
    "Task",
    "TaskRecord",
    "TraceExtreme",
    "TypedReason",
    "TypeRevision",
    "UsagePoint",
]

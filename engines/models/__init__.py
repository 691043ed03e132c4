"""Records of the ground floor."""

from engines.models.fleet import ColumnSetup, Engine, EngineType, Operator, TypeRevision
from engines.models.keying import KeyedChart
from engines.models.parts import Component, PartMovement
from engines.models.reasons import TypedReason
from engines.models.runs import Reading, Run, RunTrace, TraceExtreme
from engines.models.tasks import Task, TaskRecord

__all__ = [
    "ColumnSetup",
    "Component",
    "Engine",
    "EngineType",
    "Operator",
    "KeyedChart",
    "PartMovement",
    "Reading",
    "Run",
    "RunTrace",
    "Task",
    "TaskRecord",
    "TraceExtreme",
    "TypedReason",
    "TypeRevision",
]

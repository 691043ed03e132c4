"""Records of what runs called for and what was done."""

from inspections.models.handover import Handover, Taking
from inspections.models.judgements import Exceedance, Judgement
from inspections.models.notes import InspectionNote
from inspections.models.starts import ShutdownRecord, StartRecord
from inspections.models.work import CorrectiveAction, Finding, Inspection, Release, Step

__all__ = [
    "CorrectiveAction",
    "Exceedance",
    "Finding",
    "Handover",
    "Inspection",
    "InspectionNote",
    "Judgement",
    "Release",
    "ShutdownRecord",
    "StartRecord",
    "Step",
    "Taking",
]

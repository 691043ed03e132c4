"""Judging runs, and working inspections until they are settled."""

from inspections.actions.closing import inspection_close
from inspections.actions.correcting import release_correct
from inspections.actions.handover import HandoverFacts, handover_give, handover_take
from inspections.actions.judging import run_judge
from inspections.actions.notes import note_add
from inspections.actions.starts import starts_rebuild
from inspections.actions.work import (
    action_add,
    cause_set,
    finding_add,
    inspection_assign,
    inspection_begin,
    inspection_second,
    inspections_assign,
    step_answer,
)

__all__ = [
    "HandoverFacts",
    "action_add",
    "cause_set",
    "finding_add",
    "handover_give",
    "handover_take",
    "inspection_assign",
    "inspection_begin",
    "inspection_close",
    "inspection_second",
    "inspections_assign",
    "note_add",
    "release_correct",
    "run_judge",
    "starts_rebuild",
    "step_answer",
]

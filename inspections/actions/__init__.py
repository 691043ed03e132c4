"""Judging runs, and working inspections until they are settled."""

from inspections.actions.closing import inspection_close
from inspections.actions.judging import run_judge
from inspections.actions.work import (
    action_add,
    cause_set,
    finding_add,
    inspection_assign,
    inspection_begin,
    inspection_second,
    step_answer,
)

__all__ = [
    "action_add",
    "cause_set",
    "finding_add",
    "inspection_assign",
    "inspection_begin",
    "inspection_close",
    "inspection_second",
    "run_judge",
    "step_answer",
]

"""Everything that a person can do on the ground floor; each a function, each in one transaction."""

from engines.actions.checks import check_keep
from engines.actions.corrections import run_correct, run_void
from engines.actions.first_starts import plan_ask, plan_end, plan_open, step_record
from engines.actions.fleet import engine_add, engine_type_add, revision_adopt, revision_enter
from engines.actions.keying import chart_key, charts_left
from engines.actions.limits import LimitFacts, limit_add, limit_replace, part_done_add
from engines.actions.part_corrections import (
    Sending,
    component_correct,
    limit_correct,
    line_correct,
    part_done_correct,
)
from engines.actions.parts import component_add, ledger_correct, part_fit, part_move, part_remove, part_send
from engines.actions.power import CheckFacts, fuel_add, power_check_add, setting_keep
from engines.actions.programmes import programme_correct, programme_select
from engines.actions.runs import run_check, run_record, trace_add
from engines.actions.task_corrections import task_correct
from engines.actions.tasks import Accomplishment, task_add, task_extend, task_record

__all__ = [
    "check_keep",
    "Accomplishment",
    "chart_key",
    "charts_left",
    "CheckFacts",
    "component_add",
    "component_correct",
    "engine_add",
    "engine_type_add",
    "ledger_correct",
    "fuel_add",
    "LimitFacts",
    "limit_add",
    "limit_correct",
    "limit_replace",
    "line_correct",
    "part_done_add",
    "plan_ask",
    "plan_end",
    "plan_open",
    "part_done_correct",
    "part_fit",
    "part_move",
    "part_remove",
    "part_send",
    "Sending",
    "power_check_add",
    "programme_correct",
    "programme_select",
    "setting_keep",
    "revision_adopt",
    "revision_enter",
    "run_check",
    "run_correct",
    "run_record",
    "run_void",
    "step_record",
    "task_add",
    "task_correct",
    "task_extend",
    "task_record",
    "trace_add",
]

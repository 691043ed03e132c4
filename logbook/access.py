"""Who may do what: one table, obeyed by screens, REST and the admin alike; what it does not name is closed."""

from typing import Final

MECHANIC, INSPECTOR, DIRECTOR, AUDITOR = "mechanic", "inspector", "director", "auditor"
EVERYONE: Final = frozenset({MECHANIC, INSPECTOR, DIRECTOR, AUDITOR})
WORKERS: Final = frozenset({MECHANIC, INSPECTOR, DIRECTOR})

ACTS: Final[dict[str, frozenset[str]]] = {
    "read": EVERYONE,
    "print": EVERYONE,
    "account": EVERYONE,
    "run.record": WORKERS,
    "inspection.work": WORKERS,
    "inspection.second": frozenset({INSPECTOR, DIRECTOR}),
    "inspection.close": WORKERS,
    "inspection.assign": frozenset({DIRECTOR}),
    "inspection.note": WORKERS,
    "view.keep": EVERYONE,
    "concern.settle": frozenset({DIRECTOR}),
    "people.keep": frozenset({DIRECTOR}),
    "rules.keep": frozenset({DIRECTOR}),
    "work.do": WORKERS,
    "record.keep": frozenset({DIRECTOR}),
    "limits.enter": frozenset({INSPECTOR, DIRECTOR}),
    "limits.adopt": frozenset({INSPECTOR, DIRECTOR}),
    "engine.add": frozenset({DIRECTOR}),
    "record.hand_over": frozenset({DIRECTOR}),
    "part.move": WORKERS,
    "task.record": WORKERS,
    "task.add": frozenset({INSPECTOR, DIRECTOR}),
    "admin": frozenset({DIRECTOR}),
}
# An act of anybody, signed in or not.
OPEN: Final = "open"

# What a token of each scope may do of what its person may do.
READ, RECORD, ALL = "read", "record", "all"
SCOPES: Final[dict[str, frozenset[str]]] = {
    READ: frozenset({"read", "print"}),
    RECORD: frozenset({"read", "print", "run.record"}),
    ALL: frozenset(ACTS),
}

Door = dict[str, str]


def _look(act: str) -> Door:
    return {"GET": act}


def _send(act: str) -> Door:
    return {"POST": act}


def _sheet(act: str, sends: str = "") -> Door:
    return {"GET": act, "POST": sends or act}


SCREENS: Final[dict[str, Door]] = {
    "home": _look("read"),
    "engine_list": _look("read"),
    "engine_detail": _look("read"),
    "engine_times": _look("read"),
    "engine_starts": _look("read"),
    "engine_advisory": _look("read"),
    "advisory_print": _look("print"),
    "part_list": _look("read"),
    "parts_print": _look("print"),
    "part_index": _look("read"),
    "part_detail": _look("read"),
    "part_print": _look("print"),
    "limit_detail": _look("read"),
    "part_add": _sheet("part.move"),
    "parts_bulk": _sheet("part.move"),
    "parts_bulk_template": _look("read"),
    "part_fit": _sheet("part.move"),
    "part_remove": _sheet("part.move"),
    "part_draft": _sheet("read", "part.move"),
    "part_draft_drop": _send("part.move"),
    "part_move": _sheet("part.move"),
    "part_send": _sheet("part.move"),
    "part_return": _sheet("part.move"),
    "part_strike": _sheet("part.move"),
    "part_done": _sheet("part.move"),
    "limit_add": _sheet("limits.enter"),
    "limit_replace": _sheet("limits.enter"),
    "starts_print": _look("print"),
    "start_detail": _look("read"),
    "start_print": _look("print"),
    "start_drift": _look("read"),
    "check_add": _sheet("read", "run.record"),
    "check_detail": _look("read"),
    "check_print": _look("print"),
    "drift_print": _look("print"),
    "run_record": _sheet("run.record"),
    "run_timer": _look("run.record"),
    "handover_list": _look("read"),
    "handover_give": _sheet("inspection.work"),
    "handover_take": _send("inspection.work"),
    "log_print": _look("print"),
    "run_detail": _look("read"),
    "run_sign": _sheet("run.record"),
    "run_correct": _sheet("run.record"),
    "run_void": _sheet("run.record"),
    "entry_correct": _sheet("inspection.close"),
    "unsigned_list": _look("read"),
    "trace_add": _sheet("run.record"),
    "trace_file": _look("read"),
    "usage_source": _look("read"),
    "excursion_source": _look("read"),
    "excursion_samples": _look("read"),
    "repeat_source": _look("read"),
    "inspection_list": _look("read"),
    "inspection_detail": _look("read"),
    "inspection_beside": _look("read"),
    "inspection_begin": _send("inspection.work"),
    "step_answer": _send("inspection.work"),
    "finding_add": _send("inspection.work"),
    "action_add": _send("inspection.work"),
    "cause_set": _send("inspection.work"),
    "inspection_second": _send("inspection.second"),
    "inspections_assign": _sheet("inspection.assign"),
    "inspection_list_print": _look("print"),
    "inspection_table": _look("read"),
    "entry_table": _look("read"),
    "engine_table": _look("read"),
    "engine_record": _look("read"),
    "note_add": _send("inspection.note"),
    "view_list": _look("read"),
    "view_open": _look("read"),
    "view_keep": _send("view.keep"),
    "view_change": _send("view.keep"),
    "view_drop": _send("view.keep"),
    "inspection_sign": _sheet("inspection.close"),
    "entry_list": _look("read"),
    "entry_detail": _look("read"),
    "entry_print": _look("print"),
    "package_make": _send("record.hand_over"),
    "part_package_make": _send("record.hand_over"),
    "package_job": _look("record.hand_over"),
    "package_job_file": _look("record.hand_over"),
    "package_give": _sheet("record.hand_over"),
    "package_give_void": _sheet("record.hand_over"),
    "package_list": _look("read"),
    "package_add": _sheet("record.hand_over"),
    "package_take": _sheet("record.hand_over"),
    "package_detail": _look("read"),
    "package_file": _look("read"),
    "received_entry": _look("read"),
    "print_set": _look("print"),
    "print_make": _send("print"),
    "status_print": _look("print"),
    "card_print": _look("print"),
    "discrepancies_print": _look("print"),
    "open_items_print": _look("print"),
    "print_job": _look("print"),
    "print_job_file": _look("print"),
    "entry_proof": _look("print"),
    "check": _look(OPEN),
    "check_entry": _look(OPEN),
    "record_state": _look("read"),
    "record_description": _look("read"),
    "checkpoint_note": _look("print"),
    "checkpoint_add": _send("record.keep"),
    "limits_list": _look("read"),
    "limits_detail": _look("read"),
    "limits_adopt": _send("limits.adopt"),
    "limits_enter": _sheet("limits.enter"),
    "limits_key": _sheet("limits.adopt"),
    "due_list": _look("read"),
    "due_table": _look("read"),
    "engine_due": _look("read"),
    "task_detail": _sheet("read", "task.record"),
    "task_extend": _send("task.add"),
    "task_add": _sheet("task.add"),
    "tasks_print": _look("print"),
    "concern_list": _look("read"),
    "concern_table": _look("read"),
    "person_list": _look("read"),
    "person_detail": _look("read"),
    "person_add": _sheet("people.keep"),
    "person_role": _sheet("people.keep"),
    "person_password": _sheet("people.keep"),
    "certificate_add": _sheet("people.keep"),
    "person_deactivate": _send("people.keep"),
    "person_restore": _send("people.keep"),
    "authorization_list": _look("read"),
    "authorization_add": _sheet("people.keep"),
    "authorization_print": _look("print"),
    "authorization_end": _send("people.keep"),
    "concern_detail": _sheet("read", "concern.settle"),
    "rules_detail": _sheet("read", "rules.keep"),
    "template_change": _sheet("rules.keep"),
    "work_list": _look("read"),
    "work_add": _sheet("work.do"),
    "work_detail": _look("read"),
    "work_change": _sheet("work.do"),
    "work_second": _send("inspection.second"),
    "work_drop": _send("work.do"),
    "work_sign": _sheet("work.do"),
    "discrepancy_list": _look("read"),
}

# Coming in, going out, and what belongs to one's own account.
ACCOUNTS: Final[dict[str, Door]] = {
    "worker": _look(OPEN),
    "manifest": _look(OPEN),
    "offline": _look(OPEN),
    "unsent_list": _look(OPEN),
    "sign_in": _sheet(OPEN),
    "sign_out": _send(OPEN),
    "account_inactive": _look(OPEN),
    "mfa_authenticate": _sheet(OPEN),
    "mfa_login_webauthn": _sheet(OPEN),
    "calendar_feed": _look(OPEN),
    "digest_stop": _sheet(OPEN),
    "calendar_add": _send("account"),
    "calendar_revoke": _send("account"),
    "digest_set": _sheet("account"),
    "units_set": _sheet("account"),
    "token_list": _look("account"),
    "token_add": _sheet("account"),
    "token_revoke": _send("account"),
    "account_reauthenticate": _sheet("account"),
    "mfa_reauthenticate": _sheet("account"),
    "mfa_reauthenticate_webauthn": _sheet("account"),
    "account_change_password": _sheet("account"),
    "mfa_activate_totp": _sheet("account"),
    "mfa_deactivate_totp": _sheet("account"),
    "mfa_view_recovery_codes": _look("account"),
    "mfa_generate_recovery_codes": _sheet("account"),
    "mfa_download_recovery_codes": _look("account"),
    "mfa_add_webauthn": _sheet("account"),
    "mfa_edit_webauthn": _sheet("account"),
    "mfa_remove_webauthn": _sheet("account"),
}

REST: Final[dict[str, Door]] = {
    "api:engine-type-list": _sheet("read", "limits.enter"),
    "api:engine-type-detail": _look("read"),
    "api:engine-type-revisions": _sheet("read", "limits.enter"),
    "api:engine-type-revision-replay": _look("read"),
    "api:engine-type-revision-adopt": _send("limits.adopt"),
    "api:engine-list": _sheet("read", "engine.add"),
    "api:engine-detail": _look("read"),
    "api:engine-tasks": _sheet("read", "task.add"),
    "api:engine-task-records": _look("read"),
    "api:due-list": _look("read"),
    "api:engine-advisory": _look("read"),
    "api:run-advisory": _look("read"),
    "api:run-list": _sheet("read", "run.record"),
    "api:run-detail": _look("read"),
    "api:run-trace": _sheet("read", "run.record"),
    "api:run-verdict": _look("read"),
    "api:run-starts": _look("read"),
    "api:engine-start-drift": _look("read"),
    "api:engine-start-checks": _sheet("read", "run.record"),
    "api:run-excursion-source": _look("read"),
    "api:run-repeat-source": _look("read"),
    "api:inspection-list": _look("read"),
    "api:inspection-detail": _look("read"),
    "api:inspection-begin": _send("inspection.work"),
    "api:inspection-answer": _send("inspection.work"),
    "api:inspection-findings": _send("inspection.work"),
    "api:inspection-notes": _send("inspection.note"),
    "api:inspection-corrective-actions": _send("inspection.work"),
    "api:inspection-cause": _send("inspection.work"),
    "api:inspection-second": _send("inspection.second"),
    "api:component-list": _sheet("read", "part.move"),
    "api:component-detail": _look("read"),
    "api:component-fit": _send("part.move"),
    "api:component-remove": _send("part.move"),
    "api:component-move": _send("part.move"),
    "api:component-send": _send("part.move"),
    "api:component-strike": _send("part.move"),
    "api:component-bulk": _send("part.move"),
    "api:component-bulk-preview": _send("part.move"),
    "api:component-limit-list": _sheet("read", "limits.enter"),
    "api:component-limit-replace": _send("limits.enter"),
    "api:component-limit-done": _send("part.move"),
    "api:part-draft-list": _look("read"),
    "api:part-draft-detail": _look("read"),
    "api:part-draft-drop": _send("part.move"),
    "api:entry-list": _look("read"),
    "api:entry-detail": _look("read"),
    "api:entry-print": _look("print"),
    "api:work-list": _sheet("read", "work.do"),
    "api:work-detail": {"GET": "read", "PUT": "work.do"},
    "api:discrepancy-list": _look("read"),
    "api:outbox": _sheet(OPEN, "read"),
    "api:schema": _look(OPEN),
    "api:docs": _look(OPEN),
    "api:nothing": _sheet(OPEN),
}

ADMIN: Final = "admin:"
# Whoever does this must be flagged as staff besides.
STAFF_ACT: Final = "admin"

DOORS: Final[dict[str, Door]] = {**SCREENS, **ACCOUNTS, **REST, ADMIN: _sheet(STAFF_ACT)}


def may(role: str, act: str) -> bool:
    """Return whether a role may do an act; KeyError for an act that the table does not know."""
    return role in ACTS[act]


def door_of(view_name: str) -> Door | None:
    """Return the acts of an address by method, found by the name of its view; None where the table has no such door."""
    return DOORS[ADMIN] if view_name.startswith(ADMIN) else DOORS.get(view_name)


def act_of(view_name: str, method: str) -> str | None:
    """Return the act that a request asks for; None where the table does not open that door to that method."""
    return (door_of(view_name) or {}).get("GET" if method == "HEAD" else method)

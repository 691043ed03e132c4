"""Correcting the entry of a task: what was recorded is stated anew, and signed in its place."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.utils import timezone

from engines import actions
from engines.actions.task_corrections import standing_of
from engines.errors import DomainError
from engines.models import TaskRecord
from logbook.actions import certificate_check, text_check
from logbook.corrections import signed_fault
from logbook.entry_bodies import corrected_body
from logbook.ledger.answers import SUPERSEDED
from logbook.ledger.store import entry_seal
from logbook.maintenance.rows import TaskEntry
from logbook.models import Entry
from logbook.part_acts import CONFIRMS
from logbook.signing import signed_body
from logbook.task_acts import task_body

if TYPE_CHECKING:
    from engines.actions import Accomplishment
    from engines.standing import Standing
    from logbook.corrections import Correcting

ABOUT: Final = ("engine__engine_type", "component__operator", "task")
REASON: Final = "Why it is extended"
NOT_HERE: Final = "This entry is not corrected on this sheet."


def line_of(entry: Entry) -> TaskRecord | None:
    """Return the line of a task that an entry was recorded with, None where it was with none.

    Of an extension it is the line that repeats it since what it extended was corrected.
    """
    about = (f"record__{name}" for name in ABOUT)
    signed = TaskEntry.objects.filter(entry=entry).select_related(*about).first()
    line = None if signed is None else signed.record
    while line is not None and (again := _repeating(line)) is not None:
        line = again
    return line


def _repeating(line: TaskRecord) -> TaskRecord | None:
    """Return the line in whose place an extension was repeated, which no entry states."""
    return TaskRecord.objects.filter(replaces=line, is_extended=True, signed=None).select_related(*ABOUT).first()


def standing_signed(entry: Entry, line: TaskRecord) -> Standing | None:
    """Return the task of a line as its entry names it: of a part's task with the engine that it ran with."""
    standing = standing_of(line)
    return None if standing is None else replace(standing, engine=entry.engine)


@transaction.atomic
def task_corrected(*, entry: Entry, said: Accomplishment, correcting: Correcting) -> Entry:
    """State anew what was recorded of a task, and sign that in the place of an entry; when it is due again follows.

    Raises what ``task_correct`` raises, "not_correctable", "corrected_before", "not_yours", "certificate_not_valid",
    and "text_changed".
    """
    line = line_of(entry)
    standing = None if line is None else standing_signed(entry, line)
    if line is None or standing is None:
        raise DomainError(NOT_HERE, code="not_correctable")
    if fault := signed_fault(entry, correcting.by):
        raise fault
    made = actions.task_correct(line=line, said=said, why=correcting.why, by=correcting.by)
    certificate_check(correcting.by, correcting.signing.certificate, timezone.localdate())
    at = timezone.now().replace(microsecond=0)
    on = entry.completed_on if made.is_extended else made.on
    stated = _extension_body(entry, made) if made.is_extended else task_body(standing, made, on)
    body = corrected_body(entry, stated, how=SUPERSEDED, why=correcting.why)
    signing = replace(correcting.signing, meaning=CONFIRMS)
    text = signed_body(body, correcting.by, signing, at)
    text_check(text, correcting.read)
    newer = entry_seal(
        operator_id=entry.operator_id,
        body=text,
        kind=Entry.Kind.TASK,
        engine=entry.engine,
        component=entry.component,
        corrects=entry,
        completed_on=on,
        signed_by=correcting.by,
        signed_at=at,
    )
    TaskEntry.objects.create(record=made, entry=newer)
    return newer


def _extension_body(entry: Entry, made: TaskRecord) -> dict[str, Any]:
    """Return the body of an extension's entry with another reason; by what it was extended stays as it was signed."""
    kept = {name: value for name, value in entry.body.items() if name not in ("signed", "correction")}
    rows = "part" if kept.get("part") else "task"
    stated = [[label, made.method if label == REASON else text] for label, text in kept[rows]]
    return kept | {rows: stated}

"""Recording what was done of a task, signed: the line and its entry are written together, or neither."""

from __future__ import annotations

from datetime import date
from typing import Any, Final

from django.db import transaction
from django.utils import timezone

from engines.actions import Accomplishment, task_extend, task_record
from engines.actions.tasks import standings_anew
from engines.due import Recorded, due_point, left_of
from engines.due_words import due_at_words, interval_words
from engines.models import TaskRecord
from engines.standing import Standing
from logbook.actions import certificate_check, text_check
from logbook.first_start_asking import asked_by_task
from logbook.ledger.store import entry_seal
from logbook.maintenance.bodies import times_on
from logbook.maintenance.rows import TaskEntry
from logbook.models import Entry, Person
from logbook.printing.tasks import used_words
from logbook.signing import Signing, signed_body

NONE: Final = "none"


@transaction.atomic
def task_sign(*, standing: Standing, said: Accomplishment, by: Person, signing: Signing, read: str = "") -> Entry:
    """Record what was done of a task, and sign that; ``read`` is the hash of the text that was read, where one was.

    Raises what task_record raises, DomainError "certificate_not_valid" and "text_changed".
    """
    line = task_record(standing=standing, said=said, by=by)
    if line.outcome != TaskRecord.Outcome.NOT_APPLICABLE:
        asked_by_task(line.name, standing.engine, line.on, by)
    return _sealed(standing, line, line.on, by=by, signing=signing, read=read)


@transaction.atomic
def task_extend_sign(*, standing: Standing, reason: str, by: Person, signing: Signing, read: str = "") -> Entry:
    """Extend a task once, by what its source grants, and sign that, on its engine or off it.

    Raises what task_extend raises, DomainError "certificate_not_valid" and "text_changed".
    """
    line = task_extend(standing=standing, reason=reason, by=by)
    return _sealed(standing, line, timezone.localdate(), by=by, signing=signing, read=read)


def _sealed(standing: Standing, line: TaskRecord, on: date, *, by: Person, signing: Signing, read: str) -> Entry:
    """Return the entry about a line of a task that was written on a day."""
    certificate_check(by, signing.certificate, on)
    at = timezone.now().replace(microsecond=0)
    body = signed_body(task_body(standing, line, on), by, signing, at)
    text_check(body, read)
    entry = entry_seal(
        operator_id=by.operator_id or 0,
        body=body,
        kind=Entry.Kind.TASK,
        engine=standing.engine,
        component=standing.component,
        completed_on=on,
        signed_by=by,
        signed_at=at,
    )
    TaskEntry.objects.create(record=line, entry=entry)
    return entry


def task_body(standing: Standing, line: TaskRecord, on: date) -> dict[str, Any]:
    """Return the body of an entry about a task, without its signature; of a part's task it is an entry about the part.

    ``standing`` is how the task stood before, ``on`` the day of what is entered.
    """
    engine, part = standing.engine, standing.component
    of: Any = engine or part
    rows = [list(row) for row in task_rows(standing, line)]
    named = (
        [["Part number", part.part_number], ["Serial", part.serial], ["What it is", part.description]] if part else []
    )
    return {
        "kind": Entry.Kind.TASK,
        "title": f"{standing.title}: {line.said.lower()}",
        **of.operator.named,
        "engine": engine.named if engine else {},
        "times": vars(times_on(engine, on)) if engine else {},
        "completed_on": on.isoformat(),
        **({"part": [*map(list, named), *rows]} if part else {"task": rows}),
    }


def task_rows(standing: Standing, line: TaskRecord) -> list[tuple[str, str]]:
    """Return what was done of a task, to which document, at which counters, and when it is due again."""
    task = standing.task
    mandatory = "mandatory" if task.mandatory else "not mandatory"
    rows = [
        ("Task", task.title),
        ("Kind", f"{task.kind_words}, {mandatory}"),
        ("Number", task.number or NONE),
        ("Revision", task.revision or NONE),
        *([("Revision of", task.revision_date.isoformat())] if task.revision_date else []),
        ("Source", task.source),
        *(_extended(standing, line) if line.is_extended else _ended(standing, line)),
    ]
    return [*rows, *([("Remarks", line.remarks)] if line.remarks else [])]


def _ended(standing: Standing, line: TaskRecord) -> list[tuple[str, str]]:
    return [
        ("How it ended", line.said),
        ("How it was done", line.method),
        ("Worked to", line.reference or standing.task.reference),
        ("Counters then, of the part" if standing.component else "Counters then", used_words(line.used) or NONE),
        ("Due next", next_words(standing, line)),
    ]


def _extended(standing: Standing, line: TaskRecord) -> list[tuple[str, str]]:
    """Return by what a task was extended, why, and at what it was due before and is since."""
    newest = next(one for one in standings_anew(standing) if one.key == standing.key)
    return [
        ("How it ended", line.said),
        ("Granted by its source", f"{interval_words(standing.task.extension)}, once"),
        ("Why it is extended", line.method),
        ("Was due", due_words(standing)),
        ("Due next", due_words(newest)),
    ]


def due_words(standing: Standing) -> str:
    """Return at what a task is due, as it stands."""
    return " or ".join(map(due_at_words, standing.left)) or "not known"


def next_words(standing: Standing, line: TaskRecord) -> str:
    """Return at what a task is due again after a line of it."""
    recorded = Recorded(line.outcome, line.on, line.used)
    point = due_point(standing.task, recorded, None, line.on)
    if point is None:
        return "not again"
    return " or ".join(map(due_at_words, left_of(point, line.used, line.on)))

"""Correcting what was recorded of a task: a line in the place of another, with what rests on it stated anew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from engines.actions.tasks import held, line_keep, said_check
from engines.document_fields import Fields
from engines.due import CLOSED, ENDS
from engines.errors import DomainError
from engines.models import Component, TaskRecord
from engines.queries import revision_in_force
from engines.standing import Standing, part_tasks_of, standings_of, task_key
from engines.task_documents import tasks_read

if TYPE_CHECKING:
    from django.contrib.auth.models import AbstractBaseUser

    from engines.actions.tasks import Accomplishment
    from engines.tasks import TaskData

STATED: Final = ("outcome", "on", "method", "reference", "remarks")


def standing_of(line: TaskRecord) -> Standing | None:
    """Return how the task of a line stands now; closed where its document was replaced since, None where it is gone.

    A task of a part is given without an engine, so that the part's own counters are read wherever it ran.
    """
    key = task_key(line.name, line.task)
    found = _standings_now(line)
    standing = next((one for one in found if one.key == key and one.component == line.component), None)
    if standing is not None:
        return standing
    task = _task_then(line)
    return None if task is None else Standing(line.engine, task, line.task, None, None, (), CLOSED, line.component)


def _standings_now(line: TaskRecord) -> list[Standing]:
    if line.engine is not None:
        return standings_of([line.engine])[line.engine.pk]
    return part_tasks_of(Component.objects.filter(pk=line.component_id or 0))


def _task_then(line: TaskRecord) -> TaskData | None:
    """Return the task that a line was recorded of, by the limits of its type on that day."""
    if line.task is not None:
        return line.task.data
    if line.engine is None:
        return None
    document = revision_in_force(line.engine.engine_type, timezone.localdate(line.at)).document
    tasks = tasks_read(Fields.of({"tasks": document.get("tasks")}))
    return next((task for task in tasks if task.name == line.name), None)


@transaction.atomic
def task_correct(*, line: TaskRecord, said: Accomplishment, why: str, by: AbstractBaseUser) -> TaskRecord:
    """State anew what was recorded of a task; what counters stood at, and when it is due again, follow.

    An extension that repeated the line is repeated from the new one; of an extension itself only the reason,
    ``method``, is stated anew. Raises DomainError "corrected_before", "not_correctable" for a task that nothing tells
    of any more, "nothing_changed", "text_missing" without a reason, "out_of_order" where a line after it would no
    longer follow, and what ``task_record`` raises of what is said.
    """
    if not why.strip():
        raise DomainError("Say why it is corrected.", code="text_missing", fields={"why": "is missing"})
    standing = standing_of(line)
    if standing is None:
        raise DomainError("The limits name no such task any more.", code="not_correctable")
    held(standing)
    if TaskRecord.objects.filter(replaces=line).exists():
        raise DomainError("This line was stated anew before; correct that.", code="corrected_before")
    if line.is_extended:
        return _reason_kept(line, said.method.strip(), by)
    said_check(standing, said)
    if dict(said.used or {}) == line.stated and all(getattr(said, name) == getattr(line, name) for name in STATED):
        raise DomainError("Nothing is stated otherwise than before.", code="nothing_changed")
    extensions = _extensions_of(line)
    _check_order(line, said, extensions)
    made = line_keep(standing, said, by, replaces=line)
    for extension in extensions:
        _repeat(extension, made)
    return made


def _reason_kept(line: TaskRecord, reason: str, by: AbstractBaseUser) -> TaskRecord:
    """Keep an extension with another reason."""
    if not reason:
        raise DomainError("Say why it is extended.", code="text_missing", fields={"method": "is missing"})
    if reason == line.method:
        raise DomainError("Nothing is stated otherwise than before.", code="nothing_changed")
    told = ("engine", "component", "task", "name", "outcome", "on", "used", "until", "stated", "reference", "remarks")
    kept = {name: getattr(line, name) for name in told}
    return TaskRecord.objects.create(**kept, method=reason, is_extended=True, replaces=line, by_id=by.pk)


def _others(line: TaskRecord) -> QuerySet[TaskRecord]:
    """Return the other lines of the same task that count."""
    same: dict[str, Any] = {name: getattr(line, name) for name in ("engine", "component", "task", "name")}
    return TaskRecord.objects.filter(**same, replaced_by=None).exclude(pk=line.pk)


def _extensions_of(line: TaskRecord) -> list[TaskRecord]:
    """Return the extensions that repeat a line."""
    return list(_others(line).filter(is_extended=True, on=line.on, outcome=line.outcome, pk__gt=line.pk))


def _check_order(line: TaskRecord, said: Accomplishment, extensions: list[TaskRecord]) -> None:
    """Refuse that a task ended for good before something else was recorded of it, or goes on after it ended."""
    others = _others(line).exclude(pk__in=[extension.pk for extension in extensions])
    after = others.filter(on__gt=said.on).exclude(outcome=TaskRecord.Outcome.BEGUN).order_by("on").first()
    if said.outcome in ENDS and after is not None:
        words = f"It was recorded again on {after.on}, so it did not end for good before; correct that line first."
        raise DomainError(words, code="out_of_order", fields={"outcome": words})
    ended = others.filter(on__lt=said.on, outcome__in=ENDS).order_by("on").first()
    if ended is not None:
        words = f"It ended for good on {ended.on}; give an earlier day, or correct that line first."
        raise DomainError(words, code="out_of_order", fields={"on": words})


def _repeat(extension: TaskRecord, made: TaskRecord) -> None:
    """Let an extension stand on the line that stands now, with the reason and the source that it was granted by."""
    told = ("engine", "component", "task", "name", "method", "reference", "remarks", "by_id")
    kept = {name: getattr(extension, name) for name in told}
    since = {name: getattr(made, name) for name in ("outcome", "on", "used", "until", "stated")}
    TaskRecord.objects.create(**kept, **since, is_extended=True, replaces=extension)

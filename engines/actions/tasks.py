"""Adding tasks to an engine or a part, and recording what was done of them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from engines.actions.stays import point_at, stays_write, used_by
from engines.counters import used_of
from engines.errors import DomainError
from engines.models import Component, Engine, Task, TaskRecord
from engines.part_queries import component_times, components_on
from engines.queries import engine_times
from engines.standing import Standing, part_tasks_of, standings_of
from engines.task_documents import task_document_read
from engines.tasks import LIMITATION, TaskData

Outcome = TaskRecord.Outcome
SAID = (Outcome.DONE, Outcome.TERMINATED, Outcome.NOT_APPLICABLE)


@dataclass(frozen=True)
class Accomplishment:
    """What is recorded of a task: how it ended, on which day, by which method, worked to what.

    ``used`` is what the counters stood at then, where a person states them; else it is taken from the record.
    """

    outcome: str
    on: date
    method: str
    reference: str = ""
    remarks: str = ""
    used: Mapping[str, int] | None = None


@transaction.atomic
def task_add(
    *,
    engine: Engine,
    document: Any,
    begins_on: date,
    by: AbstractBaseUser,
    component: Component | None = None,
    replaces: Task | None = None,
) -> Task:
    """Add a task to an engine, or to a part that runs with it, from a day on, or a revised one in the place of another.

    Raises DocumentError for a malformed document, DomainError "name_taken" where the engine has an open task of that
    name, "date_impossible" for a day to come, "task_replaced" where the other is another engine's or was replaced,
    "limitation_locked" for an airworthiness limitation that is changed otherwise than by a newer revision,
    "not_fitted" for a part that does not run with the engine.
    """
    data = task_document_read(document)
    engine = Engine.objects.select_for_update().get(pk=engine.pk)
    _check_day(begins_on, "begins_on")
    if component is not None and not components_on(engine).filter(pk=component.pk).exists():
        raise DomainError(f"{component} does not run with engine {engine.serial}.", code="not_fitted")
    of = _of(engine, component)
    if replaces is not None:
        _check_replaced(of, replaces)
        _check_limitation(replaces.data, data)
    standing = [s for s in standings_of([engine])[engine.pk] if s.component == component]
    if data.name in {s.task.name for s in standing if replaces is None or s.own != replaces}:
        words = f"This engine has a task named {data.name} already."
        raise DomainError(words, code="name_taken", fields={"name": "is in use on this engine"})
    until = _until(begins_on)
    task = Task.objects.create(
        operator_id=engine.operator_id, document=document, replaces=replaces, entered_by_id=by.pk, **of
    )
    TaskRecord.objects.create(
        **of,
        task=task,
        name=data.name,
        outcome=Outcome.BEGUN,
        on=begins_on,
        used=used_on(engine, begins_on, component),
        until=until,
        reference=data.source,
        by_id=by.pk,
    )
    _reckon(engine, component, until)
    return task


def _of(engine: Engine | None, component: Component | None) -> dict[str, Any]:
    """Return what a row is of: the engine, or the part where there is one."""
    return {"engine": engine} if component is None else {"component": component}


def _only(standing: Standing) -> QuerySet[Component]:
    return Component.objects.filter(pk=standing.component.pk if standing.component else 0)


def held(standing: Standing) -> Engine | None:
    """Return a task's engine, held until the transaction ends; None, and its part held, where that is on none."""
    if standing.engine is None:
        list(_only(standing).select_for_update())
        return None
    return Engine.objects.select_for_update().get(pk=standing.engine.pk)


def _check_replaced(of: Mapping[str, Engine | Component], replaces: Task) -> None:
    """Refuse a task of something else, and one that was replaced before."""
    is_theirs = all(getattr(replaces, name) == thing for name, thing in of.items())
    if not is_theirs or Task.objects.filter(replaces=replaces).exists():
        raise DomainError(f"{replaces} is a task of something else, or was replaced before.", code="task_replaced")


def _check_limitation(old: TaskData, new: TaskData) -> None:
    """Refuse to change an airworthiness limitation but by a newer revision of its section."""
    if old.kind == LIMITATION and (new.kind, new.source) != (LIMITATION, old.source):
        raise _locked(f"{old.name} is an airworthiness limitation of {old.source}; it stays one.")
    if old.kind == LIMITATION and new.revision == old.revision:
        raise _locked(f"{old.name} is an airworthiness limitation; only a newer revision of its section changes it.")


def _locked(words: str) -> DomainError:
    return DomainError(words, code="limitation_locked")


def _check_day(day: date, name: str) -> None:
    if day > timezone.localdate():
        words = "That day is still to come."
        raise DomainError(words, code="date_impossible", fields={name: words})


def _until(day: date) -> datetime:
    """Return until when runs count for what was done on a day: its end, or now while it has not ended."""
    return min(_midnight_after(day), timezone.now())


def _midnight_after(day: date) -> datetime:
    midnight = timezone.localtime().replace(hour=0, minute=0, second=0, microsecond=0)
    return midnight + timedelta(days=(day - midnight.date()).days + 1)


def _reckon(engine: Engine | None, component: Component | None, until: datetime) -> None:
    """Keep what the counters stand at until a moment, so that it moves with the runs and the ledgers it rests on."""
    if component is not None:
        stays_write(component)
    elif engine is not None:
        point_at(engine, until)


def used_on(engine: Engine | None, day: date, component: Component | None = None) -> dict[str, int]:
    """Return what the counters of an engine, or of a part, stood at when a day ended, by what is recorded now."""
    end = _midnight_after(day) - timedelta(microseconds=1)
    if engine is None:
        return used_of(used_by(component, end)) if component else {}
    if component is None:
        return used_of(engine_times(engine, end))
    since = engine_times(engine) - engine_times(engine, end)
    return used_of(component_times(component) - since)


@transaction.atomic
def task_record(*, standing: Standing, said: Accomplishment, by: AbstractBaseUser) -> TaskRecord:
    """Record that a task was done, was ended for good, or does not apply.

    Raises DomainError "outcome_unknown", "text_missing" without a method or a reason, "date_impossible" for a day to
    come, "task_closed" for a task that was ended before, and "limitation_locked" for an airworthiness limitation that
    is not done (14 CFR 43.16).
    """
    said_check(standing, said)
    held(standing)
    if standing.point is None and standing.last is not None and standing.last.outcome != Outcome.BEGUN:
        raise DomainError(f"{standing.task.name} is closed: {standing.last.said.lower()}.", code="task_closed")
    return line_keep(standing, said, by)


def said_check(standing: Standing, said: Accomplishment) -> None:
    """Refuse what can't be said of a task; raises what ``task_record`` raises of what is said."""
    if said.outcome not in SAID:
        raise DomainError("Choose how it ended.", code="outcome_unknown", fields={"outcome": "is missing"})
    if not said.method.strip():
        words = "Say why it does not apply." if said.outcome == Outcome.NOT_APPLICABLE else "Say how it was done."
        raise DomainError(words, code="text_missing", fields={"method": words})
    if standing.task.kind == LIMITATION and said.outcome != Outcome.DONE:
        raise _locked(
            f"{standing.task.name} is an airworthiness limitation; it is done as its section says, or is due."
        )
    _check_day(said.on, "on")


def line_keep(
    standing: Standing, said: Accomplishment, by: AbstractBaseUser, replaces: TaskRecord | None = None
) -> TaskRecord:
    """Keep a line of a task with what its counters stood at on its day, in the place of another where it says so."""
    until, stated = _until(said.on), dict(said.used or {})
    made = TaskRecord.objects.create(
        **_of(standing.engine, standing.component),
        task=standing.own,
        name=standing.task.name,
        outcome=said.outcome,
        on=said.on,
        used={**used_on(standing.engine, said.on, standing.component), **stated},
        until=until,
        stated=stated,
        method=said.method.strip(),
        reference=said.reference.strip(),
        remarks=said.remarks.strip(),
        replaces=replaces,
        by_id=by.pk,
    )
    _reckon(standing.engine, standing.component, until)
    return made


def _repeated(last: TaskRecord | None) -> dict[str, Any]:
    """Return what an extension repeats of the line before it; of a task that has none, that it begins today."""
    if last is None:
        return {"outcome": Outcome.BEGUN, "on": timezone.localdate(), "used": {}}
    told = {name: getattr(last, name) for name in ("outcome", "on", "until", "stated")}
    return told | {"used": last.stood}


def standings_anew(standing: Standing) -> Iterable[Standing]:
    """Return how the tasks beside one stand now, read again: its engine's, or its part's where that is on none."""
    engine = standing.engine
    return part_tasks_of(_only(standing)) if engine is None else standings_of([engine])[engine.pk]


@transaction.atomic
def task_extend(*, standing: Standing, reason: str, by: AbstractBaseUser) -> TaskRecord:
    """Extend a task once, by what its source grants and no more.

    Raises DomainError "not_granted" where the source grants nothing, "extended_before" where it was extended since it
    was last done, and "text_missing" without a reason.
    """
    if standing.task.extension is None:
        raise DomainError(f"The source of {standing.task.name} grants no extension.", code="not_granted")
    if not reason.strip():
        raise DomainError("Say why it is extended.", code="text_missing", fields={"reason": "is missing"})
    engine = held(standing)
    last = next(s.last for s in standings_anew(standing) if s.key == standing.key)
    if last is not None and last.is_extended:
        raise DomainError(f"It was extended on {timezone.localdate(last.at)}; once is all.", code="extended_before")
    return TaskRecord.objects.create(
        **_of(engine, standing.component),
        task=standing.own,
        name=standing.task.name,
        **_repeated(last),
        is_extended=True,
        method=reason.strip(),
        reference=standing.task.source,
        by_id=by.pk,
    )

"""How the tasks of engines stand: what was recorded last, where each is due next, and what is left until then."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db.models import Case, F, JSONField, OuterRef, Q, QuerySet, Subquery, Value, When, Window
from django.db.models.functions import RowNumber
from django.utils import timezone

from engines.counters import STANDARD, counted
from engines.document_fields import Fields
from engines.due import DONE, ENDS, RUNNING, TERMINATED, DuePoint, Recorded, Remaining, due_point, left_of, state_of
from engines.models import Engine, Run, Task, TaskRecord, TypeRevision
from engines.queries import engine_times, engines_times
from engines.task_documents import tasks_read
from engines.tasks import TaskData
from engines.times import Times

KEY_DIGITS: Final = 10
BEGUN: Final = TaskRecord.Outcome.BEGUN


@dataclass(frozen=True)
class Standing:
    """A task of an engine: what was recorded last of it, where it is due, what is left, and how that stands."""

    engine: Engine
    task: TaskData
    own: Task | None
    last: TaskRecord | None
    point: DuePoint | None
    left: tuple[Remaining, ...]
    state: str

    @property
    def key(self) -> str:
        """Return by what the task is known among those of its engine."""
        return task_key(self.task.name, self.own)

    @property
    def kind_words(self) -> str:
        """Return what kind of task it is, in words."""
        return self.task.kind_words

    @property
    def share(self) -> float:
        """Return what part of its interval is left, of the parameter that has the least."""
        return min((part.share for part in self.left), default=0.0)


def task_key(name: str, own: Task | None) -> str:
    """Return a task's key: the number of its own row, else what its name comes to."""
    if own is not None:
        return str(own.pk)
    return f"type-{hashlib.sha256(name.encode()).hexdigest()[:KEY_DIGITS]}"


def used_of(times: Times) -> dict[str, int]:
    """Return what times stand at by the counters' names."""
    return {counter.name: counted(times, counter.name) for counter in STANDARD} | dict(times.other)


def with_tasks(engines: QuerySet[Engine], on: date | None = None, before: datetime | None = None) -> QuerySet[Engine]:
    """Return engines with the tasks of their types on a day, and their last run, read in the same query.

    ``before`` leaves out runs that began then or later.
    """
    on = on or timezone.localdate()
    come = Q(in_force_from__isnull=True) | Q(in_force_from__lte=on)
    revisions = TypeRevision.objects.filter(come, engine_type=OuterRef("engine_type"), is_adopted=True)
    ran = Q(started_at__date__lte=on) if before is None else Q(started_at__lt=before)
    runs = Run.objects.filter(ran, engine=OuterRef("pk"), is_void=False).order_by("-started_at")
    return engines.annotate(
        type_tasks=Subquery(revisions.order_by("-number").values("document__tasks")[:1], output_field=JSONField()),
        last_run_at=Subquery(runs.values("started_at")[:1]),
    )


def standings_of(
    engines: Iterable[Engine], *, on: date | None = None, times: Mapping[int, Times] | None = None
) -> dict[int, list[Standing]]:
    """Return how the tasks of several engines stand on a day, in the order of the document, then of entering.

    Read in three queries at most: the engines with their tasks, where they came without, their times, where these are
    not given, and what was recorded.
    """
    on = on or timezone.localdate()
    engines = list(engines)
    read, records = _read(engines, on), _records(Q(engine__in=engines), on)
    if times is None:
        wanted = [engine for engine in engines if read[engine.pk][0] or records[engine.pk]]
        times = engines_times(wanted) if wanted else {}
    documents = {e.engine_type_id: read[e.pk][0] for e in engines}
    typed = {kind: tasks_read(Fields.of({"tasks": tasks})) for kind, tasks in documents.items()}
    found = {}
    for engine in engines:
        ran = read[engine.pk][1]
        sheet = _Sheet(used_of(times.get(engine.pk, Times())), on, timezone.localdate(ran) if ran else None)
        found[engine.pk] = list(_standings(engine, typed[engine.engine_type_id], records[engine.pk], sheet))
    return found


def standings_before(run: Run) -> list[Standing]:
    """Return how the tasks of a run's engine stood when it began."""
    on = timezone.localdate(run.started_at)
    engine = with_tasks(Engine.objects.filter(pk=run.engine_id), on, run.started_at).get()
    times = engine_times(engine, run.started_at - timedelta(microseconds=1))
    return standings_of([engine], on=on, times={engine.pk: times})[engine.pk]


def _read(engines: list[Engine], on: date) -> dict[int, tuple[Any, datetime | None]]:
    """Return the tasks of each engine's type, and its last run; read anew where some engines came without."""
    if not all(hasattr(engine, "type_tasks") for engine in engines):
        engines = list(with_tasks(Engine.objects.filter(pk__in=[engine.pk for engine in engines]), on))
    return {e.pk: (e.type_tasks, e.last_run_at) for e in engines}  # type: ignore[attr-defined]


def _records(of: Q, on: date) -> dict[int, dict[str, TaskRecord]]:
    """Return the line that counts of each task, by engine and by the task's key, in one query."""
    begun_last = Case(When(outcome=BEGUN, then=Value(0)), default=Value(1)).desc()
    place = Window(
        RowNumber(),
        partition_by=[F("engine"), F("task"), F("name")],
        order_by=[begun_last, F("on").desc(), F("pk").desc()],
    )
    lines = TaskRecord.objects.filter(of, on__lte=on).filter(task__replaced_by=None).select_related("task", "by")
    found: dict[int, dict[str, TaskRecord]] = defaultdict(dict)
    for line in lines.annotate(place=place).filter(place=1).order_by("task", "pk"):
        found[line.engine_id or 0][task_key(line.name, line.task)] = line
    return found


@dataclass(frozen=True)
class _Sheet:
    """What an engine's counters stand at on a day, and the day of its last run."""

    used: dict[str, int]
    on: date
    last_run: date | None


def _standings(
    engine: Engine, typed: tuple[TaskData, ...], records: dict[str, TaskRecord], sheet: _Sheet
) -> Iterator[Standing]:
    by_name = {line.name: line for line in records.values() if line.task is None}
    own = [(line.task.data, line.task) for line in records.values() if line.task]
    for task, row in [*((task, None) for task in typed), *own]:
        line = records.get(task_key(task.name, row))
        last, begun = _counting(task, line, by_name)
        point = due_point(task, last, begun, sheet.last_run)
        left = () if point is None else left_of(point, sheet.used, sheet.on)
        yield Standing(engine, task, row, line, point, left, state_of(point, left))


def _counting(
    task: TaskData, line: TaskRecord | None, by_name: Mapping[str, TaskRecord]
) -> tuple[Recorded | None, Recorded | None]:
    """Return what counts as having done a task, its own line or that of a task that does it too; and its beginning."""
    begun = _recorded(line) if line is not None and line.outcome == BEGUN else None
    done = _recorded(line) if line is not None and line.outcome != BEGUN else None
    if done is not None and done.outcome in ENDS:
        return done, None
    others = [by_name[name] for name in task.done_with if name in by_name]
    also = [Recorded(DONE, other.on, other.used) for other in others if other.outcome in (DONE, TERMINATED)]
    return max([*also, *([done] if done else [])], key=lambda one: one.on, default=None), begun


def _recorded(line: TaskRecord) -> Recorded:
    return Recorded(line.outcome, line.on, line.used, line.is_extended)


def next_due(standings: Iterable[Standing]) -> Standing | None:
    """Return the open task that is overdue or has the least part of its interval left; None where nothing is open."""
    open_ones = [standing for standing in standings if standing.point is not None]
    return min(open_ones, key=lambda one: (one.state == RUNNING, one.share), default=None)

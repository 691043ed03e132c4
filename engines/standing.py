"""How the tasks of engines stand: what was recorded last, where each is due next, and what is left until then."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final, Protocol, TypeVar

from django.db.models import (
    BigIntegerField,
    Case,
    ExpressionWrapper,
    F,
    JSONField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
    When,
    Window,
)
from django.db.models.functions import Coalesce, JSONObject, RowNumber
from django.utils import timezone

from engines.counters import COLUMNS, used_of
from engines.document_fields import Fields
from engines.due import (
    CLOSED,
    DONE,
    ENDS,
    RUNNING,
    TERMINATED,
    DuePoint,
    Recorded,
    Remaining,
    due_point,
    left_of,
    state_of,
)
from engines.models import Component, Engine, PartStay, Run, Task, TaskRecord, TypeRevision, UsagePoint
from engines.models.usage import COUNTERS
from engines.queries import engine_times, engines_times
from engines.task_documents import tasks_read
from engines.tasks import TaskData
from engines.times import Times

D = TypeVar("D", bound="Stands")
KEY_DIGITS: Final = 10
BEGUN: Final = TaskRecord.Outcome.BEGUN


class Stands(Protocol):
    """What comes due and is compared with others: how it stands, and what part of its interval or limit is left."""

    @property
    def state(self) -> str:
        """Return how it stands."""

    @property
    def share(self) -> float:
        """Return what part is left."""


@dataclass(frozen=True)
class Standing:
    """A task of an engine: what was recorded last of it, where it is due, what is left, and how that stands.

    Where it is a task of a ``component``, the component's own counters count; ``engine`` is None where that runs with
    none now.
    """

    engine: Engine | None
    task: TaskData
    own: Task | None
    last: TaskRecord | None
    point: DuePoint | None
    left: tuple[Remaining, ...]
    state: str
    component: Component | None = None

    @property
    def title(self) -> str:
        """Return what the task is called, with the part that it is of."""
        return self.task.title if self.component is None else f"{self.task.title}, of {self.component}"

    @property
    def lines(self) -> QuerySet[TaskRecord]:
        """Return everything that was recorded of it, the newest first."""
        of: dict[str, Any] = {"component": self.component} if self.component else {"engine": self.engine}
        found = reckoned(TaskRecord.objects.filter(**of, task=self.own, name=self.task.name))
        return found.select_related("by", "replaced_by").order_by("-pk")

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
    engines: Iterable[Engine],
    *,
    on: date | None = None,
    times: Mapping[int, Times] | None = None,
    since: Times | None = None,
) -> dict[int, list[Standing]]:
    """Return how the tasks of several engines stand on a day, in the order of the document, then of entering.

    ``since`` is what was used after that day, by which the counters of parts are taken back. Read in three queries at
    most: the engines with their tasks, where they came without, their times, where these are
    not given, and what was recorded.
    """
    on = on or timezone.localdate()
    engines = list(engines)
    read, records = _read(engines, on), _records(engines, on)
    if times is None:
        times = _times([engine for engine in engines if read[engine.pk][0] or records[engine.pk]])
    documents = {e.engine_type_id: read[e.pk][0] for e in engines}
    typed = {kind: tasks_read(Fields.of({"tasks": tasks})) for kind, tasks in documents.items()}
    found = {}
    for engine in engines:
        ran = read[engine.pk][1]
        last_run = timezone.localdate(ran) if ran else None
        sheet = _Sheet(used_of(times.get(engine.pk, Times())), on, last_run, used_of(since or Times()))
        found[engine.pk] = list(_standings(engine, typed[engine.engine_type_id], records[engine.pk], sheet))
    return found


def _times(engines: list[Engine]) -> dict[int, Times]:
    """Return what engines that have tasks have used."""
    return engines_times(engines) if engines else {}


def standings_before(run: Run) -> list[Standing]:
    """Return how the tasks of a run's engine stood when it began."""
    on = timezone.localdate(run.started_at)
    engine = with_tasks(Engine.objects.filter(pk=run.engine_id), on, run.started_at).get()
    times = engine_times(engine, run.started_at - timedelta(microseconds=1))
    since = engine_times(engine) - times
    return standings_of([engine], on=on, times={engine.pk: times}, since=since)[engine.pk]


def _read(engines: list[Engine], on: date) -> dict[int, tuple[Any, datetime | None]]:
    """Return the tasks of each engine's type, and its last run; read anew where some engines came without."""
    if not all(hasattr(engine, "type_tasks") for engine in engines):
        engines = list(with_tasks(Engine.objects.filter(pk__in=[engine.pk for engine in engines]), on))
    return {e.pk: (e.type_tasks, e.last_run_at) for e in engines}  # type: ignore[attr-defined]


def reckoned(lines: QuerySet[TaskRecord]) -> QuerySet[TaskRecord]:
    """Return lines with what the runs until theirs count for as they are recorded now, for ``TaskRecord.stood``."""
    points = UsagePoint.objects.filter(engine=OuterRef("engine"), at=OuterRef("until"))
    of_engine = points.values(json=JSONObject(**{name: name for name in (*COUNTERS, "other")}))[:1]
    stays = PartStay.objects.filter(component=OuterRef("component"), end__at__lte=OuterRef("until")).order_by()
    sums = {f"{name}_sum": Sum(F(f"end__{name}") - F(f"begin__{name}")) for name in COUNTERS}
    of_part = stays.values("component").annotate(**sums).values(json=JSONObject(**{n: f"{n}_sum" for n in COUNTERS}))
    found = Coalesce(Subquery(of_engine), Subquery(of_part), output_field=JSONField())
    return lines.annotate(reckoned=found).select_related("engine", "component")


def _part_used(column: str) -> Any:
    """Return what the part of a line has used by now: what it brought, and its engines' counters while it ran."""
    stays = PartStay.objects.filter(component=OuterRef("component")).order_by().values("component")
    summed = stays.annotate(used=Sum(F(f"end__{column}") - F(f"begin__{column}"))).values("used")
    used = F(f"component__brought_{column}") + Coalesce(Subquery(summed, output_field=BigIntegerField()), 0)
    return ExpressionWrapper(used, output_field=BigIntegerField())


def _records(engines: list[Engine], on: date) -> dict[int, dict[str, TaskRecord]]:
    """Return the line that counts of each task, by engine and by the task's key, in one query."""
    running = PartStay.objects.filter(engine__in=engines, end__at__isnull=True)
    found: dict[int, dict[str, TaskRecord]] = defaultdict(dict)
    for line in _lines_counting(Q(engine__in=engines) | Q(component__in=running.values("component")), on):
        found[line.host][task_key(line.name, line.task)] = line
    return found


def _lines_counting(of: Q, on: date) -> Any:
    """Return the line that counts of each task of some engines or parts, with the engine that it is of now."""
    host = PartStay.objects.filter(component=OuterRef("component"), end__at__isnull=True).values("engine")[:1]
    begun_last = Case(When(outcome=BEGUN, then=Value(0)), default=Value(1)).desc()
    place = Window(
        RowNumber(),
        partition_by=[F("engine"), F("component"), F("task"), F("name")],
        order_by=[begun_last, F("on").desc(), F("pk").desc()],
    )
    standing = TaskRecord.objects.filter(of, on__lte=on).filter(task__replaced_by=None, replaced_by=None)
    lines = reckoned(standing)
    used = {f"part_{name}": _part_used(column) for name, column in COLUMNS.items()}
    counting: Any = lines.annotate(
        place=place, host=Coalesce("engine_id", Subquery(host), output_field=BigIntegerField()), **used
    ).filter(place=1)
    return counting.select_related("task", "by", "component__operator").order_by("task", "pk")


def part_tasks_of(parts: QuerySet[Component], on: date | None = None) -> list[Standing]:
    """Return how the tasks of parts themselves stand, in one query, whether they run with an engine or lie on a shelf.

    The engines are not read: every one of these has None.
    """
    on = on or timezone.localdate()
    records: dict[int, dict[str, TaskRecord]] = defaultdict(dict)
    for line in _lines_counting(Q(component__in=parts), on):
        records[line.component_id][task_key(line.name, line.task)] = line
    sheet = _Sheet({}, on, None, {})
    return [standing for lines in records.values() for standing in _standings(None, (), lines, sheet)]


@dataclass(frozen=True)
class _Sheet:
    """What an engine's counters stand at on a day, the day of its last run, and what was used since that day."""

    used: dict[str, int]
    on: date
    last_run: date | None
    since: dict[str, int]

    def used_by(self, line: TaskRecord | None) -> dict[str, int]:
        """Return the counters that a line goes by: the engine's, or those of its part."""
        if line is None or line.component_id is None:
            return self.used
        return {name: getattr(line, f"part_{name}") - self.since.get(name, 0) for name in COLUMNS}


def _standings(
    engine: Engine | None, typed: tuple[TaskData, ...], records: dict[str, TaskRecord], sheet: _Sheet
) -> Iterator[Standing]:
    by_name = {line.name: line for line in records.values() if line.task is None}
    own = [(line.task.data, line.task) for line in records.values() if line.task]
    for task, row in [*((task, None) for task in typed), *own]:
        line = records.get(task_key(task.name, row))
        last, begun = _counting(task, line, by_name)
        point = due_point(task, last, begun, sheet.last_run)
        left = () if point is None else left_of(point, sheet.used_by(line), sheet.on)
        component = line.component if line is not None else None
        yield Standing(engine, task, row, line, point, left, state_of(point, left), component)


def _counting(
    task: TaskData, line: TaskRecord | None, by_name: Mapping[str, TaskRecord]
) -> tuple[Recorded | None, Recorded | None]:
    """Return what counts as having done a task, its own line or that of a task that does it too; and its beginning."""
    begun = _recorded(line) if line is not None and line.outcome == BEGUN else None
    done = _recorded(line) if line is not None and line.outcome != BEGUN else None
    if done is not None and done.outcome in ENDS:
        return done, None
    others = [by_name[name] for name in task.done_with if name in by_name]
    also = [Recorded(DONE, other.on, other.stood) for other in others if other.outcome in (DONE, TERMINATED)]
    return max([*also, *([done] if done else [])], key=lambda one: one.on, default=None), begun


def _recorded(line: TaskRecord) -> Recorded:
    return Recorded(line.outcome, line.on, line.stood, line.is_extended)


def next_due(standings: Iterable[D]) -> D | None:
    """Return what is open and overdue, or has the least part of its interval or limit left; None for nothing open."""
    open_ones = [standing for standing in standings if standing.state != CLOSED]
    return min(open_ones, key=lambda one: (one.state == RUNNING, one.share), default=None)

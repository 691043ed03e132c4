"""Everything that is known of an engine or a part, as the record of a package tells it."""

from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from engines.actions.stays import used_by
from engines.errors import DomainError
from engines.models import Component, Engine, PartDone, PartMovement, TaskRecord
from engines.part_queries import components_on, histories_of, lines_current
from engines.standing import reckoned
from engines.times import Times
from logbook.handover.documents import WORKED_TO, document_row, documents_in
from logbook.handover.tables import TABLES, TOLD, Scope, people_of, row_out
from logbook.maintenance.discrepancies import standing_of
from logbook.models import Entry, Person, Unsigned
from logbook.part_drafts.queries import drafts_of


def scope_of_engine(engine: Engine) -> Scope:
    """Return an engine with the parts that are on it."""
    return Scope(engine, tuple(components_on(engine)))


def scope_of_part(component: Component) -> Scope:
    """Return a part with those that sit in it."""
    found, newest = [component], [component]
    while newest:
        newest = list(Component.objects.filter(movements__in=lines_current().filter(parent__in=newest)))
        found += newest
    return Scope(None, tuple(found))


def entries_in(scope: Scope) -> QuerySet[Entry]:
    """Return the entries of an engine and of its parts, or of parts alone, and those that correct them."""
    wanted = Q(component__in=[component.pk for component in scope.components])
    if scope.engine is not None:
        wanted |= Q(engine=scope.engine)
    versions: set[Any] = set()
    near: Any = Entry.objects.filter(wanted).values("pk")
    while near:
        linked = Entry.objects.filter(Q(corrects__in=near) | Q(corrected_by__in=near)).exclude(wanted)
        near = set(linked.values_list("pk", flat=True)) - versions
        versions |= near
    return Entry.objects.filter(wanted | Q(pk__in=versions)).order_by("number")


def unsigned_refuse(scope: Scope) -> None:
    """Raise DomainError "unsigned_left" where a run of it, or what was done to its parts, is not signed."""
    count = Unsigned.objects.filter(engine=scope.engine).count() if scope.engine else 0
    if count:
        raise DomainError(
            f"{count} of its runs are not signed as they stand. Sign them, then hand the record over.",
            code="unsigned_left",
        )
    if waiting := drafts_of(scope.components, scope.engine).count():
        raise DomainError(
            f"{waiting} of what other programs sent of its parts is not signed. Sign it or drop it, then hand over.",
            code="unsigned_left",
        )


@transaction.atomic
def record_of(scope: Scope) -> dict[str, Any]:
    """Return the record: rows by table, the people whom they name, and what the parts had used by now."""
    tables: dict[str, Any] = {}
    named: set[int] = set()
    for table in (*TABLES, *TOLD):
        rows = list(table.rows(scope))
        named.update(number for row in rows for number in people_of(row))
        tables[table.name] = [row_out(row) for row in rows]
    tables["documents"] = [
        document_row(row) for row in documents_in(entries_in(scope).filter(content__contains=WORKED_TO))
    ]
    named.update(row["by"] for row in tables["documents"])
    _lives_tell(tables["part_done"])
    _counters_tell(tables["task_records"])
    histories = histories_of(scope.components)
    return {
        "tables": tables,
        "people": _people(named),
        "lives": {str(key): vars(history.used) for key, history in histories.items()},
        "places": [_place(line) for line in lines_current().filter(component__in=[c.pk for c in scope.components])],
        "unsettled": _unsettled(scope.engine),
        "as_of": timezone.now().isoformat(timespec="seconds"),
        "other_engines": _serials(tables["movements"], scope),
    }


def _people(numbers: Iterable[int]) -> list[dict[str, Any]]:
    people = Person.objects.filter(pk__in=list(numbers)).order_by("pk")
    return [{"id": person.pk, "name": str(person), "user_code": person.username} for person in people]


def _lives_tell(rows: list[dict[str, Any]]) -> None:
    """Say what parts had used when something was done to them, which only the origin can tell from where they ran."""
    for row in rows:
        if row["life"] is None:
            done = PartDone.objects.select_related("component").get(pk=row["id"])
            row["life"] = vars(used_by(done.component, done.at))


def _counters_tell(rows: list[dict[str, Any]]) -> None:
    """Say what counters stood at when tasks were done; those of parts can't be reckoned again from where they ran."""
    lines = reckoned(TaskRecord.objects.filter(pk__in=[row["id"] for row in rows])).in_bulk()
    for row in rows:
        row["used"] = lines[row["id"]].stood
        row["until"] = None if row["component"] else row["until"]


def _place(line: PartMovement) -> dict[str, Any]:
    return {
        "component": line.component_id,
        "parent": line.parent_id,
        "position": line.position,
        "on_engine": line.engine_id is not None,
    }


def _unsettled(engine: Engine | None) -> list[dict[str, Any]]:
    """Return the discrepancies that are not closed, each as its newest line has it."""
    standing = standing_of(engine) if engine else []
    found = []
    for discrepancy in standing:
        line = discrepancy.lines.last()
        placard_on = line.placard_on.isoformat() if line and line.placard_on else None
        kept = {name: getattr(line, name, "") for name in ("state", "words", "deferral", "placard_by")}
        due_on = discrepancy.due_now.isoformat() if discrepancy.due_now else None
        told = {"text": discrepancy.text_now, "basis": discrepancy.basis_now, "due_on": due_on}
        found.append({**told, "placard_on": placard_on, **kept})
    return found


def _serials(movements: list[dict[str, Any]], scope: Scope) -> dict[str, str]:
    """Return the serials of other engines that parts were on."""
    numbers = {row["engine"] for row in movements if row["engine"]} - {scope.engine.pk if scope.engine else 0}
    return {str(pk): serial for pk, serial in Engine.objects.filter(pk__in=numbers).values_list("pk", "serial")}


def counts_of(record: dict[str, Any], entries: int) -> dict[str, int]:
    """Return how many of what a record holds, for people to read."""
    names = ("runs", "traces", "photos", "documents", "inspections", "components", "part_limits", "tasks")
    return {"entries": entries, **{name: len(record["tables"][name]) for name in names}}


def times_of(scope: Scope, times: Times | None) -> dict[str, Any]:
    """Return the times that go over: the engine's, or those of a part alone."""
    if times is not None:
        return dict(vars(times))
    history = histories_of(scope.components[:1])[scope.components[0].pk]
    return dict(vars(history.used))

"""Writing the rows of a received record, each as its origin has it but for its own number."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.db.models import Field, ForeignKey, Model, UUIDField

from engines.documents import engine_type_read
from engines.models import (
    ColumnSetup,
    Component,
    EngineType,
    Operator,
    PartDone,
    PartLimit,
    Task,
    TaskRecord,
    TypeRevision,
)
from engines.programmes import AIRCRAFT, OPTIONS
from engines.task_documents import task_document_read
from inspections.models import Inspection
from inspections.verdict import excursion_read
from logbook.handover.errors import PackageError
from logbook.handover.tables import TABLE_OF, TABLES, Table, fields_of
from logbook.models import Person

RUNS: Final = uuid.UUID("6f0f2b0e-0d6c-5d3c-9d0e-2f6a7a3c9b11")  # names of runs that were received
Row = dict[str, Any]


@dataclass
class Loading:
    """A record being written for an operator; ``made`` holds, by table and number at the origin, what became of it.

    ``back`` holds when a part that was here before came back, by its number at the origin.
    """

    operator: Operator
    record: Mapping[str, Any]
    owner: str
    made: dict[str, dict[Any, Model]] = field(default_factory=dict)
    people: dict[int, Person] = field(default_factory=dict)
    back: dict[int, datetime] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.number = max(self.operator.inspections.values_list("number", flat=True), default=0)

    def load(self, besides: Mapping[str, Callable[[Loading, Row, Model], None]]) -> None:
        """Write everything, table by table; ``besides`` does what a table needs before a row of it is stored."""
        self._people_add()
        for table in TABLES:
            self.made[table.name] = {}
            for row in self.record["tables"][table.name]:
                self._row_add(table, row, besides.get(table.name))

    def _people_add(self) -> None:
        """Keep the names of people whom the record names, as accounts of nobody that nobody can sign in to."""
        for told in self.record["people"]:
            person = Person(username=f"received-{uuid.uuid4().hex}", last_name=str(told["name"])[:150], is_active=False)
            person.set_unusable_password()
            person.save()
            self.people[told["id"]] = person

    def _row_add(self, table: Table, row: Row, prepare: Callable[[Loading, Row, Model], None] | None) -> None:
        known = _KEPT[table.name](self, row) if table.name in _KEPT else None
        if known is None:
            known = self._made_of(table, row)
            if prepare is not None:
                prepare(self, row, known)
            # As the origin has it, its moments too, which saving in the usual way would set to now.
            known.save_base(raw=True, force_insert=True)
        self.made[table.name][row["id"]] = known

    def _made_of(self, table: Table, row: Row) -> Any:
        made: Any = table.model()
        if isinstance(made._meta.pk, UUIDField):
            made.pk = uuid.uuid5(RUNS, f"{self.operator.pk}/{row['id']}")
        if hasattr(table.model, "operator_id"):
            made.operator_id = self.operator.pk
        for one in fields_of(table.model):
            if one.name in row:
                setattr(made, one.attname, self._value(table, one, row[one.name]))
        if table.name in _CHECKED:
            _CHECKED[table.name](made)
        if isinstance(made, Inspection):
            self.number += 1
            made.number, made.assigned_to = self.number, None
        return made

    def _value(self, table: Table, one: Field[Any, Any], value: Any) -> Any:
        if value is None and one.null:
            return None
        if isinstance(one, ForeignKey):
            return self._named(table, one, value).pk
        try:
            found = one.to_python(value)
            if one.choices and found not in ("", *dict(one.flatchoices)):
                raise ValidationError(f"{found!r} is not one of its choices")
            one.run_validators(found)
        except (ValidationError, TypeError) as error:
            raise PackageError(f"{table.name}, {one.name}: {error}") from error
        return found

    def _named(self, table: Table, one: ForeignKey[Any, Any], value: Any) -> Model:
        """Return the row or the person that a row names."""
        if one.related_model is Person:
            found: Model | None = self.people.get(value)
        else:
            named = TABLE_OF.get(one.related_model)
            found = self.made.get(named.name, {}).get(value) if named else None
        if found is None:
            raise PackageError(f"{table.name}, {one.name}: the record has no row or person {value!r}.")
        return found

    def one(self, name: str) -> Model | None:
        """Return the first row of a table, None for none."""
        return next(iter(self.made[name].values()), None)


def _type_kept(loading: Loading, row: Row) -> EngineType | None:
    """Return the operator's own type of that name if it has the same limits; a new one goes by a name of its own."""
    own = loading.operator.engine_types.filter(name=row["name"]).first()
    if own is None:
        return None
    told = {one["number"]: one["document"] for one in loading.record["tables"]["type_revisions"]}
    if told == dict(own.revisions.filter(is_adopted=True).values_list("number", "document")):
        return own
    row["name"] = _free_name(loading, f"{row['name']}, from {loading.owner}"[:110])
    return None


def _free_name(loading: Loading, name: str) -> str:
    taken = set(loading.operator.engine_types.filter(name__startswith=name).values_list("name", flat=True))
    return next(one for one in (name, *(f"{name} {k}" for k in range(2, len(taken) + 3))) if one not in taken)


def _revision_kept(loading: Loading, row: Row) -> TypeRevision | None:
    """Return the operator's own revision, where the type is its own."""
    engine_type = loading.made["engine_types"][row["engine_type"]]
    return TypeRevision.objects.filter(engine_type=engine_type.pk, number=row["number"]).first()


def _keying_kept(loading: Loading, row: Row) -> Model | None:
    """Return the revision in place of a second keying of it, where the revision is the operator's own."""
    revision = loading.made["type_revisions"][row["revision"]]
    return revision if isinstance(revision, TypeRevision) and revision.entered_by.operator_id else None


def _setup_kept(loading: Loading, row: Row) -> Model | None:
    """Return what the operator remembers of that header, if it does."""
    engine_type = loading.made["engine_types"][row["engine_type"]]
    return ColumnSetup.objects.filter(engine_type=engine_type.pk, header=row["header"]).first()


def _component_kept(loading: Loading, row: Row) -> Component | None:
    """Return the operator's own part, where it is one that comes back."""
    own = loading.operator.components.filter(part_number=row["part_number"], serial=row["serial"])
    return own.first()


def _limit_kept(loading: Loading, row: Row) -> PartLimit | None:
    """Return the operator's own limit, where a part that comes back has the same revision of it."""
    # A correction is another row of the same revision.
    told = ("key", "part_number", "source", "source_revision", "amount", "unit", "tolerance", "weight")
    same = {name: row[name] for name in told}
    parts = loading.record["tables"]["components"]
    (*serials,) = {part["serial"] for part in parts if part["part_number"] == row["part_number"]}
    applies = ["", *(serials if len(serials) == 1 else ())]
    own = PartLimit.objects.filter(operator=loading.operator, serial__in=applies, **same)
    return own.order_by("pk").first()


def _done_kept(loading: Loading, row: Row) -> PartDone | None:
    """Return what was recorded here before the part went, where the row says that."""
    component = loading.made["components"][row["component"]].pk
    same = {name: row[name] for name in ("at", "reference", "tested_by")}
    return PartDone.objects.filter(component=component, **same).first()


def _task_kept(loading: Loading, row: Row) -> Task | None:
    """Return the operator's own task of a part that comes back, where the row says that."""
    if row["component"] is None:
        return None
    component = loading.made["components"][row["component"]].pk
    return next((task for task in Task.objects.filter(component=component) if task.document == row["document"]), None)


def _task_record_kept(loading: Loading, row: Row) -> TaskRecord | None:
    """Return what was recorded here before the part went, where the row says that."""
    if row["component"] is None:
        return None
    component = loading.made["components"][row["component"]].pk
    same = {name: row[name] for name in ("name", "outcome", "on", "at")}
    return TaskRecord.objects.filter(component=component, **same).first()


_KEPT: Final[dict[str, Callable[[Loading, Row], Model | None]]] = {
    "engine_types": _type_kept,
    "type_revisions": _revision_kept,
    "keyed_charts": _keying_kept,
    "column_setups": _setup_kept,
    "components": _component_kept,
    "part_limits": _limit_kept,
    "part_done": _done_kept,
    "tasks": _task_kept,
    "task_records": _task_record_kept,
}


def _verdict_check(made: Any) -> None:
    for document in made.verdict["excursions"]:
        excursion_read(document)


def _plan_check(made: Any) -> None:
    if made.revision.data.first_start is None:
        raise PackageError(f"first_starts: {made.revision} asks for no first start.")


def _programme_check(made: Any) -> None:
    if made.kind not in AIRCRAFT or made.option not in OPTIONS:
        raise PackageError(f"programmes: “{made.kind}” or “{made.option}” is not known here.")


# What screens read without asking again whether it can be read.
_CHECKED: Final[dict[str, Callable[[Any], Any]]] = {
    "type_revisions": lambda made: engine_type_read(made.document),
    "first_starts": _plan_check,
    "programmes": _programme_check,
    "judgements": _verdict_check,
    "tasks": lambda made: task_document_read(made.document),
}

"""Reads of parts: where they are, what they have used and have left, in as many queries for many as for one."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from django.db.models import Exists, F, FilteredRelation, OuterRef, Q, QuerySet, TextField
from django.db.models.functions import Cast

from engines.lives import Arithmetic, Done, History, Limit, Status, Stay, arithmetic_of, governing, status_of
from engines.models import Component, Engine, PartDone, PartLimit, PartMovement, PartStay
from engines.models.usage import COUNTERS
from engines.times import Times

if TYPE_CHECKING:
    from django.contrib.auth.models import AbstractBaseUser

MOST_NAMED: Final = 5000  # components named in a query; databases take only so many
WIDTH = len(COUNTERS)
STAY: tuple[Any, ...] = (
    "component_id",
    "engine_id",
    "engine__serial",
    *(f"engine__opening_{name}" for name in COUNTERS),
    Cast("engine__opening_other", TextField()),
    *(f"{end}__{name}" for end in ("begin", "end") for name in ("id", "at", *COUNTERS)),
    Cast("begin__other", TextField()),
    Cast("end__other", TextField()),
)
# Where in these columns, behind the first three, each of the engine's opening, both points and both texts begins.
SHARES = (0, WIDTH + 1, 2 * WIDTH + 3, 3 * WIDTH + 5, 3 * WIDTH + 7)
PART_FIELDS = tuple(field.attname for field in Component._meta.concrete_fields)
BESIDES = PART_FIELDS.index("brought_other")
PART: tuple[Any, ...] = tuple(
    Cast("component__brought_other", TextField()) if place == BESIDES else f"component__{name}"
    for place, name in enumerate(PART_FIELDS)
)

Components = Collection[Component] | QuerySet[Component]


@dataclass(frozen=True)
class PartStatus:
    """One part with what is left of each of its limits, the one that is reached first, and its history."""

    component: Component
    rows: tuple[tuple[PartLimit, Status], ...]
    history: History

    @property
    def used(self) -> Times:
        """Return what the part has used since new."""
        return self.history.used

    @property
    def nearest(self) -> Status | None:
        """Return the limit that is reached first."""
        return governing(status for _, status in self.rows)


def component_list(user: AbstractBaseUser) -> QuerySet[Component]:
    """Return the operator's components."""
    return Component.objects.filter(operator_id=getattr(user, "operator_id", None) or 0)


def component_for(user: AbstractBaseUser, pk: int) -> Component:
    """Return one component; Component.DoesNotExist where the person may not see it."""
    return component_list(user).get(pk=pk)


def limit_list(user: AbstractBaseUser) -> QuerySet[PartLimit]:
    """Return the operator's limits of parts, every revision of them."""
    found = PartLimit.objects.filter(operator_id=getattr(user, "operator_id", None) or 0)
    return found.select_related("entered_by")


def limit_for(user: AbstractBaseUser, pk: int) -> PartLimit:
    """Return one revision of a limit; PartLimit.DoesNotExist where the person may not see it."""
    return limit_list(user).get(pk=pk)


# Lines of one moment: a part is removed and then fitted, so that the fitting, first by its name, is the newer.
NEWEST_FIRST: Final = ("-at", "kind", "-pk")


def lines_standing() -> QuerySet[PartMovement]:
    """Return the lines of all ledgers that count; those struck as wrong do not."""
    return PartMovement.objects.filter(void__isnull=True)


def done_standing() -> QuerySet[PartDone]:
    """Return what stands as done to parts; what was stated anew does not."""
    return PartDone.objects.filter(replaced_by=None)


def lines_current() -> QuerySet[PartMovement]:
    """Return the lines by which parts are fitted now."""
    ends = (PartMovement.Kind.REMOVED, PartMovement.Kind.LEFT)
    ended = lines_standing().filter(component=OuterRef("component"), kind__in=ends)
    return lines_standing().filter(~Exists(ended.filter(at__gt=OuterRef("at"))), kind=PartMovement.Kind.FITTED)


def fitted_at(component: Component) -> PartMovement | None:
    """Return the line of the ledger by which a component is fitted now, or None while it is off."""
    return lines_current().filter(component=component).select_related("engine", "parent").first()


def components_on(engine: Engine) -> QuerySet[Component]:
    """Return the components that run with an engine now, those within its modules too."""
    now = PartStay.objects.filter(component=OuterRef("pk"), engine=engine, end__at__isnull=True)
    return Component.objects.filter(Exists(now))


def components_off(components: QuerySet[Component]) -> QuerySet[Component]:
    """Return those of some components that run with no engine, and are neither mutilated nor with another owner."""
    now = PartStay.objects.filter(component=OuterRef("pk"), end__at__isnull=True)
    gone = Q(kind=PartMovement.Kind.LEFT) | Q(control=PartMovement.Control.MUTILATED)
    return components.filter(~Exists(now), ~Exists(lines_standing().filter(gone, component=OuterRef("pk"))))


def components_fitted(engine: Engine) -> list[Component]:
    """Return the components that run with an engine now, those within its modules too."""
    return list(components_on(engine))


def limits_current(operator: int, part_numbers: Any) -> QuerySet[PartLimit]:
    """Return the limits in force of some part numbers."""
    return PartLimit.objects.filter(operator=operator, part_number__in=part_numbers, replaced_by__isnull=True)


def limits_of(component: Component) -> list[PartLimit]:
    """Return the limits in force of one component."""
    found = limits_current(component.operator_id, [component.part_number])
    return list(found.filter(serial__in=["", component.serial]).select_related("entered_by"))


def has_life_limit(component: Component) -> bool:
    """Return whether a component must be replaced at a limit."""
    return any(limit.kind == PartLimit.Kind.LIFE for limit in limits_of(component))


def histories_of(components: Components) -> dict[int, History]:
    """Return what each of several components brought, where it ran, and what was last done to it."""
    parts = list(components)
    return _histories(parts, stays_on(parts), limits_read(parts).done)


def _histories(
    parts: Collection[Component], stays: Mapping[int, list[Stay]], done: Mapping[int, dict[str, Done]]
) -> dict[int, History]:
    return {
        c.pk: History(c.brought, _in_order([*stays.get(c.pk, ()), *c.aways]), c.made_on, done.get(c.pk, {}))
        for c in parts
    }


def _in_order(stays: Iterable[Stay]) -> tuple[Stay, ...]:
    return tuple(sorted(stays, key=lambda stay: stay.begin))


def stays_on(components: Components) -> dict[int, list[Stay]]:
    """Return where each of several components ran, in order of time."""
    stays: dict[int, list[Stay]] = defaultdict(list)
    for part, _, stay, _ in _stays_read(PartStay.objects.filter(component__in=components), ()):
        stays[part].append(stay)
    return stays


@dataclass(frozen=True)
class PartsRead:
    """Components that ran, where each did, in order of time, and the engine that each is on now, by their keys."""

    parts: list[Component]
    stays: Mapping[int, list[Stay]]
    engines: Mapping[int, int]


def parts_read(rows: QuerySet[PartStay]) -> PartsRead:
    """Return the components of some stays together with these, in one query."""
    parts: dict[int, Component] = {}
    stays: dict[int, list[Stay]] = defaultdict(list)
    engines: dict[int, int] = {}
    for key, engine, stay, columns in _stays_read(rows, PART):
        if key not in parts:
            known = [_counts_read(value) if place == BESIDES else value for place, value in enumerate(columns)]
            parts[key] = Component.from_db(rows.db, PART_FIELDS, known)
        stays[key].append(stay)
        if stay.end is None:
            engines[key] = engine
    return PartsRead(list(parts.values()), stays, engines)


def _stays_read(rows: QuerySet[PartStay], more: Sequence[Any]) -> Iterator[tuple[int, int, Stay, Sequence[Any]]]:
    """Yield the component of each stay, its engine, the stay, and more columns that were asked for."""
    # Points, with what the engine came with, and stays from one to another are shared by many parts.
    counters: dict[int, Times] = {}
    shared: dict[tuple[int, int], Stay] = {}
    for part, engine, serial, *rest in rows.values_list(*STAY, *more):
        opening, begin, end, others = (rest[i:j] for i, j in pairwise(SHARES))
        for (key, _, *counted), other in zip((begin, end), others, strict=True):
            if key not in counters:
                counters[key] = _times_read(opening) + _times_read([*counted, other])
        between = begin[0], end[0]
        if between not in shared:
            shared[between] = Stay(serial, begin[1], end[1], counters[begin[0]], counters[end[0]])
        yield part, engine, shared[between], rest[SHARES[-1] :]


def _counts_read(text: str) -> dict[str, int]:
    """Return what is counted besides as the database writes it, which mostly is nothing."""
    return {} if text == "{}" else json.loads(text)


def _times_read(columns: Sequence[Any]) -> Times:
    """Return times of their columns, the last of them as text."""
    counted = dict(zip(COUNTERS, columns, strict=False))
    return Times(**counted, other=_counts_read(columns[-1]))


@dataclass(frozen=True)
class LimitsRead:
    """The limits in force of some part numbers, and what was last done to some components, by the limit's key."""

    in_force: Mapping[str, list[tuple[PartLimit, Limit]]]
    done: Mapping[int, dict[str, Done]]


def limits_read(components: Collection[Component], until: datetime | None = None) -> LimitsRead:
    """Return the limits of components of one operator, and what was last done for each until a moment, in one query."""
    operator = next((component.operator_id for component in components), 0)
    numbers = {component.part_number for component in components}
    # Every revision, as an interval may have been met under an earlier one.
    revisions = PartLimit.objects.filter(operator=operator, part_number__in=numbers)
    asked: Any = revisions.annotate(in_force=Q(replaced_by__isnull=True), met=_met(components, until))
    told = {
        "met_by": F("met__component"),
        "met_at": F("met__at"),
        "met_life": F("met__life"),
        "met_anew": F("met__replaced_by"),
    }
    rows = asked.annotate(**told).order_by("part_number", "serial", "pk", "met_at", "met__pk")
    in_force: dict[str, dict[int, tuple[PartLimit, Limit]]] = defaultdict(dict)
    done: dict[int, dict[str, Done]] = defaultdict(dict)
    for row in rows if numbers else ():
        if row.in_force and row.pk not in in_force[row.part_number]:
            in_force[row.part_number][row.pk] = (row, row.limit)
        if row.met_at is not None and row.met_anew is None:
            _newest(done[row.met_by], row)
    return LimitsRead({number: list(own.values()) for number, own in in_force.items()}, done)


def _newest(done: dict[str, Done], row: Any) -> None:
    """Keep what a row says was done for its limit, unless what is kept was done later."""
    key = str(row.key)
    if key not in done or row.met_at >= done[key].at:
        done[key] = Done(row.met_at, None if row.met_life is None else Times(**row.met_life))


def _met(components: Collection[Component], until: datetime | None) -> FilteredRelation:
    """Return the join to what was done until a moment to some components, to all where they are too many to name."""
    named = [component.pk for component in components] if len(components) <= MOST_NAMED else None
    condition = Q(done__isnull=False) if named is None else Q(done__component__in=named)
    return FilteredRelation("done", condition=condition & (Q() if until is None else Q(done__at__lte=until)))


def statuses_of(components: Components, today: date) -> dict[int, PartStatus]:
    """Return what each of several components of one operator has left of its limits, in two queries."""
    parts = list(components)
    return statuses_by(parts, stays_on(parts), limits_read(parts), today)


def statuses_by(
    parts: Iterable[Component], stays: Mapping[int, list[Stay]], limits: LimitsRead, today: date
) -> dict[int, PartStatus]:
    """Return what each of several components has left of its limits, by what was read of them."""
    parts = list(parts)
    histories, found = _histories(parts, stays, limits.done), {}
    for part in parts:
        history = histories[part.pk]
        own = [pair for pair in limits.in_force.get(part.part_number, ()) if pair[0].serial in ("", part.serial)]
        rows = tuple((row, status_of(limit, history, today)) for row, limit in own)
        found[part.pk] = PartStatus(part, rows, history)
    return found


def arithmetics_of(component: Component, limits: Iterable[Limit]) -> list[tuple[Limit, Arithmetic]]:
    """Return how the used figure of each limit adds up, stay by stay; calendar limits have no such sum."""
    history = histories_of([component])[component.pk]
    return [(limit, arithmetic_of(limit, history)) for limit in limits if limit.parameter != "calendar"]


def component_times(component: Component) -> Times:
    """Return what a component has used since new: what it brought, and its engines' runs while it was fitted."""
    return histories_of([component])[component.pk].used


def off_since(component: Component) -> PartMovement | None:
    """Return the removal after which a component was not fitted again; None where it is fitted or never was."""
    last = lines_standing().filter(component=component).order_by(*NEWEST_FIRST).select_related("engine").first()
    return last if last is not None and last.kind != PartMovement.Kind.FITTED else None

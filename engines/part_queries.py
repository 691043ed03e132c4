"""Reads of parts: where they are, what they have used and have left, in as many queries for many as for one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from django.db.models import Exists, OuterRef, QuerySet

from engines.lives import Arithmetic, Done, History, Limit, Status, Stay, arithmetic_of, governing, status_of
from engines.models import Component, Engine, PartDone, PartLimit, PartMovement, PartStay
from engines.models.usage import COUNTERS
from engines.times import Times

if TYPE_CHECKING:
    from django.contrib.auth.models import AbstractBaseUser

COUNTED = (*COUNTERS, "other")
WIDTH = len(COUNTED)
STAY = (
    "component_id",
    "engine__serial",
    *(f"engine__opening_{name}" for name in COUNTED),
    *(f"{end}__{name}" for end in ("begin", "end") for name in ("id", "at", *COUNTED)),
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


def lines_standing() -> QuerySet[PartMovement]:
    """Return the lines of all ledgers that count; those struck as wrong do not."""
    return PartMovement.objects.filter(void__isnull=True)


def lines_current() -> QuerySet[PartMovement]:
    """Return the lines by which parts are fitted now."""
    removed = lines_standing().filter(component=OuterRef("component"), kind=PartMovement.Kind.REMOVED)
    return lines_standing().filter(~Exists(removed.filter(at__gt=OuterRef("at"))), kind=PartMovement.Kind.FITTED)


def fitted_at(component: Component) -> PartMovement | None:
    """Return the line of the ledger by which a component is fitted now, or None while it is off."""
    return lines_current().filter(component=component).select_related("engine", "parent").first()


def components_on(engine: Engine) -> QuerySet[Component]:
    """Return the components that run with an engine now, those within its modules too."""
    now = PartStay.objects.filter(component=OuterRef("pk"), engine=engine, end__at__isnull=True)
    return Component.objects.filter(Exists(now))


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
    stays = stays_on(components)
    done: dict[int, dict[str, Done]] = defaultdict(dict)
    for act in PartDone.objects.filter(component__in=components).select_related("limit").order_by("at", "pk"):
        done[act.component_id][str(act.limit.key)] = Done(act.at, None if act.life is None else Times(**act.life))
    return {c.pk: History(c.brought, tuple(stays[c.pk]), c.made_on, done[c.pk]) for c in components}


def stays_on(components: Components) -> dict[int, list[Stay]]:
    """Return where each of several components ran, in order of time."""
    stays: dict[int, list[Stay]] = defaultdict(list)
    counters: dict[int, Times] = {}  # of each point, which many parts share, with what the engine came with
    for part, serial, *rest in PartStay.objects.filter(component__in=components).values_list(*STAY):
        opening, begin, end = rest[:WIDTH], rest[WIDTH : 2 * WIDTH + 2], rest[2 * WIDTH + 2 :]
        for key, _, *counted in (begin, end):
            if key not in counters:
                counters[key] = Times(*opening) + Times(*counted)
        stays[part].append(Stay(serial, begin[1], end[1], counters[begin[0]], counters[end[0]]))
    return stays


def statuses_of(components: Components, today: date) -> dict[int, PartStatus]:
    """Return what each of several components of one operator has left of its limits, in three queries."""
    histories = histories_of(components)
    limits: dict[str, list[tuple[PartLimit, Limit]]] = defaultdict(list)
    operator = next((component.operator_id for component in components), 0)
    for limit in limits_current(operator, {component.part_number for component in components}):
        limits[limit.part_number].append((limit, limit.limit))
    found = {}
    for component in components:
        history = histories[component.pk]
        own = [pair for pair in limits[component.part_number] if pair[0].serial in ("", component.serial)]
        rows = tuple((row, status_of(limit, history, today)) for row, limit in own)
        found[component.pk] = PartStatus(component, rows, history)
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
    last = lines_standing().filter(component=component).order_by("-at", "-pk").select_related("engine").first()
    return last if last is not None and last.kind != PartMovement.Kind.FITTED else None

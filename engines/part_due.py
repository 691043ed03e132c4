"""Limits of parts as lines of what comes due: one for each part and kind of limit, by the first that is reached."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from math import floor
from typing import Any

from django.db.models import OuterRef, Subquery

from engines.counters import EQUIVALENT
from engines.due import DAYS, NOT_KNOWN, REACHED, RUNNING, Remaining
from engines.forecast import Use, observed_use
from engines.lives import OVERRUN, UNKNOWN, Status
from engines.lives import REACHED as LIMIT_REACHED
from engines.models import Component, Engine, PartLimit, PartStay
from engines.part_queries import statuses_of

Weeks = Mapping[str, list[float]]
Rows = list[tuple[PartLimit, Status]]


@dataclass(frozen=True)
class PartStanding:
    """The limits of one kind of a part that runs with an engine: what is left of each, and how that stands."""

    component: Component
    kind: str
    mandatory: bool
    left: tuple[Remaining, ...]
    state: str
    source: str
    weight: float

    def uses(self, weeks: Weeks, uses: Mapping[str, Use | None]) -> dict[str, Use | None]:
        """Return the uses by which it is foretold, equivalent cycles by what a partial cycle counts for here."""
        full, partial = weeks.get("cycles", []), weeks.get("partial_cycles", [])
        weighed = [a + self.weight * b for a, b in zip(full, partial, strict=True)]
        return {**uses, EQUIVALENT: observed_use(weighed)}


def part_standings_of(engines: Collection[Engine], on: date) -> dict[int, list[PartStanding]]:
    """Return how the limits of all parts that run with some engines stand, in four queries."""
    now = PartStay.objects.filter(component=OuterRef("pk"), end__at__isnull=True, engine__in=[e.pk for e in engines])
    running = Component.objects.annotate(on_engine=Subquery(now.values("engine")[:1])).filter(on_engine__isnull=False)
    parts: list[Any] = list(running.order_by("part_number", "serial"))
    if not parts:
        return {}
    found: dict[int, list[PartStanding]] = defaultdict(list)
    statuses = statuses_of(parts, on)
    for part in parts:
        found[part.on_engine] += part_standings(part, list(statuses[part.pk].rows))
    return found


def part_standings(component: Component, rows: Rows) -> Iterator[PartStanding]:
    """Yield how the limits of each kind of a part stand."""
    for kind in PartLimit.Kind:
        own = [(limit, status) for limit, status in rows if limit.kind == kind]
        if not own:
            continue
        sources = dict.fromkeys(f"{limit.source}, revision {limit.source_revision}" for limit, _ in own)
        yield PartStanding(
            component=component,
            kind=PartLimit.Kind(kind).label,
            mandatory=kind == PartLimit.Kind.LIFE,
            left=tuple(left for _, status in own if (left := remaining(status)) is not None),
            state=state_by([status for _, status in own]),
            source="; ".join(sources),
            weight=max(float(limit.weight) for limit, _ in own),
        )


def remaining(status: Status) -> Remaining | None:
    """Return what is left of a limit; None where it can't be known."""
    if status.remaining is None or status.used is None:
        return None
    left = floor(status.remaining)
    if status.due_on is not None:
        return Remaining(DAYS, status.due_on.toordinal(), left, floor(status.used + status.remaining))
    return Remaining(status.limit.parameter, status.limit.amount, left, status.limit.amount)


def state_by(statuses: list[Status]) -> str:
    """Return how several limits stand together; within a tolerance that the source grants it is not overdue."""
    states = {status.state for status in statuses}
    if states & {OVERRUN, LIMIT_REACHED}:
        return REACHED
    return NOT_KNOWN if UNKNOWN in states else RUNNING

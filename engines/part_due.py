"""Limits of parts as lines of what comes due: one for each part and kind of limit, by the first that is reached."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from math import floor
from typing import Final

from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from engines.counters import EQUIVALENT
from engines.due import DAYS, NOT_KNOWN, REACHED, RUNNING, Remaining
from engines.forecast import Use, observed_use
from engines.lives import OVERRUN, UNKNOWN, Status, stays_until
from engines.lives import REACHED as LIMIT_REACHED
from engines.models import Component, Engine, PartLimit, PartStay, Run
from engines.part_queries import limits_read, parts_read, statuses_by, stays_on
from engines.queries import engine_times

Weeks = Mapping[str, list[float]]
Rows = tuple[tuple[PartLimit, Status], ...]
KINDS: Final = tuple(PartLimit.Kind.choices)


@dataclass(frozen=True)
class PartStanding:
    """The limits of one kind of a part that runs with an engine: what is left of each, and how that stands.

    A limit of a part is a boundary that its source does not let it run beyond, so that every kind of it holds the
    engine; what is only recommended is a task that is not mandatory.
    """

    component: Component
    kind: str
    rows: Rows
    state: str

    @property
    def title(self) -> str:
        """Return what the part is called."""
        return f"{self.component.description or 'Part'} {self.component}"

    @property
    def kind_words(self) -> str:
        """Return what kind of limit it is, in words."""
        return self.kind

    @cached_property
    def left(self) -> tuple[Remaining, ...]:
        """Return what is left of each of its limits of which that can be known."""
        return tuple(left for _, status in self.rows if (left := remaining(status)) is not None)

    @property
    def passed(self) -> tuple[Remaining, ...]:
        """Return what is left of those that allow no more."""
        beyond = [status for _, status in self.rows if status.state in (OVERRUN, LIMIT_REACHED)]
        return tuple(left for status in beyond if (left := remaining(status)) is not None)

    @property
    def share(self) -> float:
        """Return what part of its limit is left, of the parameter that has the least."""
        return min((part.share for part in self.left), default=0.0)

    @property
    def source(self) -> str:
        """Return which documents say so."""
        return "; ".join(dict.fromkeys(f"{limit.source}, revision {limit.source_revision}" for limit, _ in self.rows))

    def uses(self, weeks: Weeks, uses: Mapping[str, Use | None]) -> dict[str, Use | None]:
        """Return the uses by which it is foretold, equivalent cycles by what a partial cycle counts for here."""
        full, partial = weeks.get("cycles", []), weeks.get("partial_cycles", [])
        weight = max(float(limit.weight) for limit, _ in self.rows)
        weighed = [a + weight * b for a, b in zip(full, partial, strict=True)]
        return {**uses, EQUIVALENT: observed_use(weighed)}


def part_standings_of(engines: Collection[Engine], on: date) -> dict[int, list[PartStanding]]:
    """Return how the limits of all parts that run with some engines stand, in two queries."""
    now = PartStay.objects.filter(end__at__isnull=True, engine__in=[engine.pk for engine in engines])
    read = parts_read(PartStay.objects.filter(component__in=now.values("component")))
    found: dict[int, list[PartStanding]] = defaultdict(list)
    if not read.parts:
        return found
    statuses = statuses_by(read.parts, read.stays, limits_read(read.parts), on)
    for part in read.parts:
        found[read.engines[part.pk]] += part_standings(part, statuses[part.pk].rows)
    return found


def part_standings_before(run: Run) -> list[PartStanding]:
    """Return how the limits of the parts that ran with a run's engine stood when it began."""
    at = run.started_at
    there = PartStay.objects.filter(
        Q(end__at__isnull=True) | Q(end__at__gt=at), engine=run.engine_id, begin__at__lte=at
    )
    parts = list(Component.objects.filter(Exists(there.filter(component=OuterRef("pk")))))
    if not parts:
        return []
    counted = engine_times(run.engine, at - timedelta(microseconds=1))
    stays = {key: list(stays_until(own, at, counted)) for key, own in stays_on(parts).items()}
    statuses = statuses_by(parts, stays, limits_read(parts, until=at), timezone.localdate(at))
    return [standing for part in parts for standing in part_standings(part, statuses[part.pk].rows)]


def part_standings(component: Component, rows: Rows) -> Iterator[PartStanding]:
    """Yield how the limits of each kind of a part stand."""
    for kind, label in KINDS:
        own = tuple(pair for pair in rows if pair[0].kind == kind)
        if own:
            yield PartStanding(component, label, own, state_by([status for _, status in own]))


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

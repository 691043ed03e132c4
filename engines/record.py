"""An engine's record in few reads: its times, the parts fitted to it with theirs, and where its parts were moved."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from engines.lives import Stay
from engines.models import Component, Engine, PartMovement
from engines.part_due import PartStanding, part_standings
from engines.part_queries import components_on, limits_read, statuses_by, stays_on
from engines.queries import engine_times
from engines.times import Times, total

FITTED = PartMovement.Kind.FITTED


@dataclass(frozen=True)
class FittedPart:
    """A part fitted to an engine: by which line of the ledger, its times in all, and what it used since then."""

    component: Component
    line: PartMovement
    times: Times
    since_fitted: Times


@dataclass(frozen=True)
class EngineRecord:
    """What an engine has used, the parts fitted to it now, and every line of the ledger about it, newest first."""

    times: Times
    parts: tuple[FittedPart, ...]
    moves: tuple[PartMovement, ...]
    stays: Mapping[int, list[Stay]]

    def standings(self, on: date) -> Iterator[PartStanding]:
        """Yield how the limits of the parts stand on a day, in one query."""
        parts = [part.component for part in self.parts]
        statuses = statuses_by(parts, self.stays, limits_read(parts), on)
        for part in parts:
            yield from part_standings(part, statuses[part.pk].rows)


def engine_record(engine: Engine) -> EngineRecord:
    """Return the record of an engine, in two or three queries whatever the number of its parts and runs."""
    names = ("component", "engine", "parent", "recorded_by", "void")
    lines = PartMovement.objects.filter(Q(engine=engine) | Q(component__in=components_on(engine)))
    moves = list(lines.select_related(*names).order_by("component__part_number", "component__serial", "at", "pk"))
    stays = stays_on(components_on(engine))
    newest = {line.component_id: line for line in moves if line.kind == FITTED and not hasattr(line, "void")}
    return EngineRecord(
        # Whatever is on the engine now ends where the engine's counters stand.
        times=next((stay.at_end for own in stays.values() for stay in own if stay.end is None), None)
        or engine_times(engine),
        parts=tuple(_part(line, stays[key]) for key, line in newest.items() if key in stays),
        moves=tuple(sorted((m for m in moves if m.engine_id == engine.pk), key=lambda m: (m.at, m.pk), reverse=True)),
        stays=stays,
    )


def _part(line: PartMovement, stays: list[Stay]) -> FittedPart:
    used = total([line.component.brought, *(stay.used for stay in (*line.component.aways, *stays))])
    return FittedPart(line.component, line, used, total(stay.used for stay in stays if stay.begin >= line.at))

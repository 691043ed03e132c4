"""An engine's record in few reads: its times, the parts fitted to it with theirs, and where its parts were moved."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, Sum

from engines.models import Component, Engine, PartMovement, Run
from engines.queries import COUNTERS
from engines.times import Times, total


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


def engine_record(engine: Engine) -> EngineRecord:
    """Return the record of an engine, in two queries whatever the number of its parts."""
    ledgers = _ledgers(engine)
    fitted = {
        key: lines
        for key, lines in ledgers.items()
        if lines[-1].kind == PartMovement.Kind.FITTED and lines[-1].engine_id == engine.pk
    }
    used = _used(engine, fitted)
    opening = Times(*(getattr(engine, f"opening_{name}") for name in COUNTERS))
    moves = [line for lines in ledgers.values() for line in lines if line.engine_id == engine.pk]
    return EngineRecord(
        times=opening + used["engine"],
        parts=tuple(_part(lines, used) for lines in fitted.values()),
        moves=tuple(sorted(moves, key=lambda line: (line.at, line.pk), reverse=True)),
    )


def _ledgers(engine: Engine) -> dict[int, list[PartMovement]]:
    """Return every line about each part that was ever on an engine, in order, by the part."""
    parts = PartMovement.objects.filter(engine=engine).values("component")
    lines = PartMovement.objects.filter(component__in=parts).select_related("component", "engine", "recorded_by")
    found: dict[int, list[PartMovement]] = defaultdict(list)
    for line in lines.order_by("component__part_number", "component__serial", "at", "pk"):
        found[line.component_id].append(line)
    return found


def _stays(lines: list[PartMovement]) -> Iterable[tuple[str, Q]]:
    """Yield a name and a condition on runs for each stay of a part on an engine."""
    ends = [*(line.at for line in lines[1:]), None]
    for line, end in zip(lines, ends, strict=True):
        if line.kind == PartMovement.Kind.FITTED:
            within = Q(engine=line.engine_id, started_at__gte=line.at)
            yield f"line{line.pk}", within if end is None else within & Q(started_at__lt=end)


def _used(engine: Engine, fitted: dict[int, list[PartMovement]]) -> dict[str, Times]:
    """Return what the engine used in all, and what was used in each stay of its parts, in one query."""
    spans = {"engine": Q(engine=engine.pk)}
    engines = {engine.pk}
    for lines in fitted.values():
        spans |= dict(_stays(lines))
        engines |= {line.engine_id for line in lines}
    sums: dict[str, Any] = {
        f"{span}_{name}": Sum(name, filter=within, default=0) for span, within in spans.items() for name in COUNTERS
    }
    found = Run.objects.filter(engine__in=engines).order_by().aggregate(**sums)
    return {span: Times(*(found[f"{span}_{name}"] for name in COUNTERS)) for span in spans}


def _part(lines: list[PartMovement], used: dict[str, Times]) -> FittedPart:
    component, last = lines[0].component, lines[-1]
    brought = Times(
        run_time_s=component.brought_run_time_s, starts=component.brought_starts, cycles=component.brought_cycles
    )
    stays = [used[name] for name, _ in _stays(lines)]
    return FittedPart(component, last, total([brought, *stays]), used[f"line{last.pk}"])

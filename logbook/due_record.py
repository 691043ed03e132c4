"""What comes due on one engine, with the use of each counter that something goes by, for screen and print."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils import timezone

from engines.coming_due import DueLine, engine_lines
from engines.counters import COLUMNS, SECONDS, counter_of, used_of
from engines.forecast import Use
from engines.models import Engine
from engines.part_due import part_standings_of
from engines.queries import engines_times
from engines.standing import Standing, standings_of
from engines.times import SECONDS_PER_HOUR
from engines.use import uses_of, weeks_of
from inspections.drawing.use_picture import UseScene

MOST_PICTURES = 2


@dataclass(frozen=True)
class DueRecord:
    """The lines of one engine, the tasks of it that are closed, and the use of the counters that count most."""

    lines: list[DueLine]
    closed: list[Standing]
    scenes: list[UseScene]


def scenes_of(engine: Engine, stated: Mapping[str, Use]) -> DueRecord:
    """Return what comes due on an engine, by the use that is stated where there is one, else by what was observed."""
    today = timezone.localdate()
    times = engines_times([engine])
    standings = standings_of([engine], times=times)[engine.pk]
    weeks = weeks_of([engine], today).get(engine.pk, {})
    uses = {**uses_of(weeks), **stated}
    parts = part_standings_of([engine], today).get(engine.pk, [])
    lines = sorted(engine_lines(engine, (standings, parts), weeks, stated, today), key=lambda line: line.rank)
    used = used_of(times[engine.pk])
    named = [name for name in COLUMNS if any(p.counter == name for line in lines for p in line.left)]
    scenes = []
    for name in named[:MOST_PICTURES]:
        # What an engine's counter comes to when it is due: a part's own limit counts from another beginning.
        limits = tuple(
            (line.what, float(used[name] + p.left)) for line in lines for p in line.left if p.counter == name
        )
        scenes.append(_scene(name, weeks.get(name, []), (float(used[name]), uses.get(name)), limits))
    return DueRecord(lines, [standing for standing in standings if standing.point is None], scenes)


def _scene(
    name: str, weeks: list[float], now: tuple[float, Use | None], limits: tuple[tuple[str, float], ...]
) -> UseScene:
    counter, (total, use) = counter_of(name), now
    scale = SECONDS_PER_HOUR if counter.unit == SECONDS else 1
    return UseScene(
        label=counter.label,
        unit="h" if counter.unit == SECONDS else "",
        weeks=tuple(amount / scale for amount in weeks),
        total=total / scale,
        use=_scaled(use, scale),
        today=timezone.localdate(),
        limits=tuple((what, at / scale) for what, at in limits),
    )


def _scaled(use: Use | None, scale: int) -> Use | None:
    if use is None:
        return None
    low, high = (None if amount is None else amount / scale for amount in (use.low, use.high))
    return Use(use.mean / scale, use.spread / scale, use.periods, low, high, use.days)

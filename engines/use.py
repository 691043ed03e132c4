"""How much engines were used: in each week before a day, read in one query for all of them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Case, Sum, Value, When
from django.utils import timezone

from engines.counters import COLUMNS
from engines.forecast import MOST_WEEKS, WEEK_D, Use, observed_use
from engines.models import Engine, Run

Weeks = dict[str, list[float]]


def weeks_of(engines: Iterable[Engine], today: date) -> dict[int, Weeks]:
    """Return what each engine used in each week before a day, the newest first, by the counter's name.

    Weeks count from the first whole one with a run: before it nothing is known.
    """
    last = today + timedelta(days=1)
    ends = [midnight(last - timedelta(days=WEEK_D * k)) for k in range(MOST_WEEKS + 1)]
    recent = Run.objects.filter(started_at__gte=ends[-1], started_at__lt=ends[0], is_void=False)
    runs = recent.filter(engine__in=list(engines)).order_by()
    week = Case(*(When(started_at__gte=start, then=Value(k)) for k, start in enumerate(ends[1:])))
    sums: dict[str, Any] = {name: Sum(column) for name, column in COLUMNS.items()}
    rows: Any = runs.annotate(week=week).values_list("engine", "week").annotate(**sums)
    found: dict[int, dict[int, tuple[int, ...]]] = defaultdict(dict)
    for engine, number, *amounts in rows:
        found[engine][number] = tuple(amounts)
    return {engine: _weeks(used) for engine, used in found.items()}


def midnight(day: date) -> datetime:
    """Return when a day begins, where the operator is."""
    return datetime(day.year, day.month, day.day, tzinfo=timezone.get_current_timezone())


def _weeks(used: dict[int, tuple[int, ...]]) -> Weeks:
    """Return the sums of whole weeks, from what was used so many weeks ago.

    The week of the first run is not whole; the oldest of all counts as whole, because what was before is not asked.
    """
    first = max(used)
    weeks = MOST_WEEKS if first == MOST_WEEKS - 1 else first
    nothing = (0,) * len(COLUMNS)
    return {name: [float(used.get(k, nothing)[place]) for k in range(weeks)] for place, name in enumerate(COLUMNS)}


def uses_of(weeks: Mapping[str, list[float]]) -> dict[str, Use | None]:
    """Return the use observed of each counter."""
    return {name: observed_use(totals) for name, totals in weeks.items()}

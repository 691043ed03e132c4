"""How much engines were used: in each week before a day, read in one query for all of them."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db.models import Sum
from django.db.models.functions import TruncDate
from django.utils import timezone

from engines.forecast import MOST_WEEKS, WEEK_D, Use, observed_use
from engines.models import Engine, Run

# The column of a run by the name of its counter.
COLUMNS: Final = {
    "time_in_service": "time_in_service_s",
    "run_time": "run_time_s",
    "starts": "starts",
    "cycles": "cycles",
    "partial_cycles": "partial_cycles",
}
Weeks = dict[str, list[float]]


def weeks_of(engines: Iterable[Engine], today: date) -> dict[int, Weeks]:
    """Return what each engine used in each week before a day, the newest first, by the counter's name.

    Weeks count from the first whole one with a run: before it nothing is known.
    """
    last = today + timedelta(days=1)
    begin, end = (midnight(last - timedelta(days=days)) for days in (WEEK_D * MOST_WEEKS, 0))
    runs = Run.objects.filter(engine__in=list(engines), started_at__gte=begin, started_at__lt=end).order_by()
    sums: dict[str, Any] = {name: Sum(column) for name, column in COLUMNS.items()}
    rows: Any = runs.annotate(day=TruncDate("started_at")).values_list("engine", "day").annotate(**sums)
    days: dict[int, list[tuple[int, tuple[int, ...]]]] = defaultdict(list)
    for engine, day, *amounts in rows:
        days[engine].append(((last - day).days - 1, tuple(amounts)))
    return {engine: _weeks(found) for engine, found in days.items()}


def midnight(day: date) -> datetime:
    """Return when a day begins, where the operator is."""
    return datetime(day.year, day.month, day.day, tzinfo=timezone.get_current_timezone())


def _weeks(days: list[tuple[int, tuple[int, ...]]]) -> Weeks:
    """Return the sums of whole weeks, from what was used so many days ago.

    The oldest week counts as whole, because what was before is not asked.
    """
    first = max(ago for ago, _ in days)
    weeks = min(MOST_WEEKS, first // WEEK_D + (first >= WEEK_D * (MOST_WEEKS - 1)))
    found = {name: [0.0] * weeks for name in COLUMNS}
    for ago, amounts in days:
        if ago // WEEK_D < weeks:
            for name, amount in zip(COLUMNS, amounts, strict=True):
                found[name][ago // WEEK_D] += amount
    return found


def uses_of(weeks: Mapping[str, list[float]]) -> dict[str, Use | None]:
    """Return the use observed of each counter."""
    return {name: observed_use(totals) for name, totals in weeks.items()}

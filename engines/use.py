"""How much engines were used: in each week before a day, read in one query for all of them."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any, Final

from django.db.models import Min, Q, Sum
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


def week_ends(today: date) -> list[datetime]:
    """Return where the weeks before a day end, that day included, the newest first; one more than there are weeks."""
    zone = timezone.get_current_timezone()
    last = today + timedelta(days=1)
    days = [last - timedelta(days=WEEK_D * k) for k in range(MOST_WEEKS + 1)]
    return [datetime(day.year, day.month, day.day, tzinfo=zone) for day in days]


def weeks_of(engines: Iterable[Engine], today: date) -> dict[int, Weeks]:
    """Return what each engine used in each week before a day, the newest first, by the counter's name.

    Weeks count from the first whole one with a run: before it nothing is known.
    """
    ends = week_ends(today)
    spans = [Q(started_at__gte=start, started_at__lt=end) for end, start in zip(ends, ends[1:], strict=False)]
    sums: dict[str, Any] = {
        f"{name}_{k}": Sum(column, filter=span, default=0)
        for k, span in enumerate(spans)
        for name, column in COLUMNS.items()
    }
    runs = Run.objects.filter(engine__in=list(engines), started_at__gte=ends[-1], started_at__lt=ends[0]).order_by()
    found = {}
    rows: Any = runs.values("engine").annotate(first=Min("started_at"), **sums)
    for row in rows:
        weeks = _whole_weeks(row["first"], ends)
        found[row["engine"]] = {name: [float(row[f"{name}_{k}"]) for k in range(weeks)] for name in COLUMNS}
    return found


def _whole_weeks(first: datetime, ends: list[datetime]) -> int:
    """Return how many whole weeks were recorded; the oldest counts as whole, because what was before is not asked."""
    begun = sum(end > first for end in ends[:-1])
    return begun if begun == MOST_WEEKS else begun - 1


def uses_of(weeks: Mapping[str, list[float]]) -> dict[str, Use | None]:
    """Return the use observed of each counter."""
    return {name: observed_use(totals) for name, totals in weeks.items()}

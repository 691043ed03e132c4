"""When a task is due again, how much is left until then, and what that means today."""

from calendar import monthrange
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import MAXYEAR, date, timedelta
from typing import Final

from engines.tasks import BEGUN, PRESERVATION, Interval, TaskData

CLOSED: Final = "closed"
RUNNING: Final = "running"
NOT_KNOWN: Final = "not_known"
REACHED: Final = "reached"

STATES: Final = {
    RUNNING: "not due yet",
    NOT_KNOWN: "not known",
    REACHED: "overdue",
    CLOSED: "closed",
}

DAYS: Final = "days"
# How a task ended each time; the last two end it for good.
DONE: Final = "done"
TERMINATED: Final = "terminated"
NOT_APPLICABLE: Final = "not_applicable"
ENDS: Final = frozenset({TERMINATED, NOT_APPLICABLE})


@dataclass(frozen=True)
class Recorded:
    """What was recorded of a task: with what outcome, on which day, at which counters, and whether it was extended."""

    outcome: str
    on: date
    used: Mapping[str, int]
    is_extended: bool = False


@dataclass(frozen=True)
class DuePoint:
    """Where a task is due: counters, and a day; ``is_day_known`` is False where a day should count and is not known.

    ``lengths`` is how much of each parameter there is from the beginning, days by the name ``"days"``.
    """

    at: tuple[tuple[str, int], ...] = ()
    on: date | None = None
    is_day_known: bool = True
    basis: str = ""
    lengths: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class Remaining:
    """What is left of one parameter: seconds, a count, or days; negative where it was passed.

    ``length`` is how much there was at the beginning, 0 where that is not known.
    """

    counter: str
    due_at: int
    left: int
    length: int = 0

    @property
    def share(self) -> float:
        """Return what part of the beginning is left; what began with nothing is at its end."""
        return self.left / self.length if self.length else 0.0


def months_later(day: date, months: int) -> date:
    """Return the day that lies some months after a day.

    Parameters
    ----------
    day : date
        The day counted from.
    months : int
        Whole months, 0 or more.

    Returns
    -------
    date
        The same day of the later month, or its last day where it has no such day.

    Raises
    ------
    ValueError
        If the day lies beyond the end of the calendar.

    References
    ----------
    The rule of the corresponding date, Dodds v Walker [1981] 1 WLR 1027: four months from 30 September end on
    30 January.
    """
    years, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + years, month + 1
    if year > MAXYEAR:
        raise ValueError(f"{months} months after {day} lie beyond the calendar, which ends with {MAXYEAR}.")
    return date(year, month, min(day.day, monthrange(year, month)[1]))


def day_after(day: date, interval: Interval) -> date | None:
    """Return the day on which an interval of time ends, whichever of its lengths comes first.

    Parameters
    ----------
    day : date
        The day counted from.
    interval : Interval
        Its days and months count here.

    Returns
    -------
    date or None
        The day; None where the interval has no length of time.

    Notes
    -----
    Calendar months end with the last day of the month, as in 14 CFR 91.409(a).
    """
    ends = []
    if interval.days is not None:
        ends.append(day + timedelta(days=interval.days))
    if interval.months is not None:
        ends.append(months_later(day, interval.months))
    if interval.calendar_months is not None:
        last = months_later(day, interval.calendar_months)
        ends.append(last.replace(day=monthrange(last.year, last.month)[1]))
    return min(ends, default=None)


def point_after(interval: Interval, used: Mapping[str, int], day: date | None, basis: str = "") -> DuePoint:
    """Return where an interval ends that began at some counters on some day.

    Parameters
    ----------
    interval : Interval
        The interval.
    used : mapping of str to int
        The counters at its beginning; one that is not there began at 0. [s or counts]
    day : date or None
        The day of its beginning; None where it is not known.
    basis : str
        What it is counted from, in words.

    Returns
    -------
    DuePoint
        Where it ends.
    """
    at = tuple((name, used.get(name, 0) + amount) for name, amount in interval.amounts)
    if day is None:
        return DuePoint(at, None, not interval.has_calendar, basis, interval.amounts)
    end = day_after(day, interval)
    days = () if end is None else ((DAYS, (end - day).days),)
    return DuePoint(at, end, True, basis, (*interval.amounts, *days))


def due_point(
    task: TaskData, last: Recorded | None, begun: Recorded | None = None, last_run: date | None = None
) -> DuePoint | None:
    """Return where a task is due next.

    Parameters
    ----------
    task : TaskData
        The task.
    last : Recorded or None
        What was recorded last of doing it, None where it was never done.
    begun : Recorded or None
        When the task began to apply, where that is recorded.
    last_run : date or None
        The day of the engine's last run, from which an idle engine's preservation counts.

    Returns
    -------
    DuePoint or None
        Where it is due, its extension included where that was used; None where it is closed.
    """
    if last is not None and last.outcome in ENDS:
        return None
    if task.kind == PRESERVATION:
        return _idle_point(task, last, last_run)
    if last is not None:
        if task.repeat is None:
            return None
        point = point_after(task.repeat, last.used, last.on, f"last done {last.on}")
        return _extended(point, task, last)
    return _first_point(task, begun)


def _first_point(task: TaskData, begun: Recorded | None) -> DuePoint | None:
    """Return where a task is due that was never done."""
    interval = task.initial or task.repeat
    if interval is None:
        return None
    if task.counts_from == BEGUN and begun is not None:
        return _extended(point_after(interval, begun.used, begun.on, f"applies since {begun.on}"), task, begun)
    point = point_after(interval, {}, None, "never done; counted since new")
    return point if begun is None else _extended(point, task, begun)


def _idle_point(task: TaskData, last: Recorded | None, last_run: date | None) -> DuePoint | None:
    """Return by when an engine that stands is to be preserved, or preserved again."""
    interval, again = task.initial or task.repeat, task.repeat or task.initial
    if last is not None and again is not None and (last_run is None or last.on >= last_run):
        return _extended(point_after(again, {}, last.on, f"preserved {last.on}, no run since"), task, last)
    if last_run is None or interval is None:
        return None
    return point_after(interval, {}, last_run, f"last run {last_run}")


def _extended(point: DuePoint, task: TaskData, last: Recorded) -> DuePoint:
    if not last.is_extended or task.extension is None:
        return point
    more = dict(task.extension.amounts)
    at = tuple((name, value + more.get(name, 0)) for name, value in point.at)
    on = point.on and (day_after(point.on, task.extension) or point.on)
    return DuePoint(at, on, point.is_day_known, f"{point.basis}, extended once", point.lengths)


def left_of(point: DuePoint, used: Mapping[str, int], today: date) -> tuple[Remaining, ...]:
    """Return what is left of each parameter.

    Parameters
    ----------
    point : DuePoint
        Where something is due.
    used : mapping of str to int
        The counters now. [s or counts]
    today : date
        The day.

    Returns
    -------
    tuple of Remaining
        One for each counter, then the days; what is left of days is the number of days until the last one allowed.
    """
    lengths = dict(point.lengths)
    found = [Remaining(name, at, at - used.get(name, 0), lengths.get(name, 0)) for name, at in point.at]
    if point.on is not None:
        found.append(Remaining(DAYS, point.on.toordinal(), (point.on - today).days, lengths.get(DAYS, 0)))
    return tuple(found)


def is_passed(part: Remaining) -> bool:
    """Return whether a parameter allows no more.

    Parameters
    ----------
    part : Remaining
        What is left.

    Returns
    -------
    bool
        True where nothing is left of a counter, because any further run would pass it; a day is passed on the next.
    """
    return part.left < 0 if part.counter == DAYS else part.left <= 0


def state_of(point: DuePoint | None, left: Iterable[Remaining]) -> str:
    """Return how a task stands.

    Parameters
    ----------
    point : DuePoint or None
        Where it is due; None where it is closed.
    left : iterable of Remaining
        What is left of each parameter.

    Returns
    -------
    str
        One of ``STATES``. A day that should count and is not known is no good news.
    """
    if point is None:
        return CLOSED
    if any(map(is_passed, left)):
        return REACHED
    return RUNNING if point.is_day_known else NOT_KNOWN

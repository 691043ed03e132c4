"""What a part has used and has left of each of its limits, with the arithmetic behind every figure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from typing import Final, Literal

from engines.counters import CALENDAR, COUNT, DAYS, MONTHS, SECONDS, counted, weighed, weights_of
from engines.due import months_later
from engines.times import Times, hours_text

Kind = Literal["life", "overhaul", "inspection"]
WITHIN, REACHED, OVERRUN, TOLERATED, UNKNOWN = "within", "reached", "overrun", "tolerated", "unknown"
STATE_WORDS: Final = {
    WITHIN: "Within the limit",
    REACHED: "Limit reached",
    TOLERATED: "Beyond the limit, within the tolerance its source grants",
    OVERRUN: "Overrun",
    UNKNOWN: "Not known",
}


@dataclass(frozen=True)
class Limit:
    """One limit of a part: of which parameter, how much, by which document.

    ``parameter`` is a counter's name, equivalent cycles or calendar time; ``amount`` and ``tolerance`` are in
    ``unit``: ``"s"``, ``"count"``, ``"days"`` or ``"months"``. ``weight`` is what a partial cycle counts for.
    ``key`` stays the same from revision to revision.
    """

    parameter: str
    amount: int
    unit: str
    kind: Kind = "life"
    weight: Fraction = Fraction(0)
    tolerance: int = 0
    source: str = ""
    revision: str = ""
    key: str = ""


@dataclass(frozen=True)
class Stay:
    """A part on an engine: from when until when, and what the engine's runs had counted to at both ends.

    ``end`` is None while the part is still there. A time with another owner ``is_away``: the counters at its ends are
    the part's own, by that owner's record.
    """

    where: str
    begin: datetime
    end: datetime | None
    at_begin: Times
    at_end: Times
    is_away: bool = False

    @property
    def used(self) -> Times:
        """Return what was used in between."""
        return self.at_end - self.at_begin


@dataclass(frozen=True)
class Done:
    """The last time that an overhaul or an inspection was done; ``life`` is what the part had used by then.

    ``life`` is None where it is told by the stays, which are parted at ``at``.
    """

    at: datetime
    life: Times | None = None


@dataclass(frozen=True)
class History:
    """What a part brought when its record here began, where it ran since, and what was last done to it.

    ``done`` holds the last time by the key of the limit that it was done for.
    """

    brought: Times = Times()
    stays: tuple[Stay, ...] = ()
    made_on: date | None = None
    done: Mapping[str, Done] = field(default_factory=dict)

    @cached_property
    def used(self) -> Times:
        """Return what was used since new."""
        return sum((stay.used for stay in self.stays), self.brought)

    def used_since(self, limit: Limit) -> Fraction:
        """Return what counts towards a limit: since new, or since an interval was last met."""
        begin, stays = counted_from(limit, self)
        used: Fraction | int = 0
        for name, weight in weights_of(limit.parameter, limit.weight).items():
            ran = sum(counted(stay.at_end, name) - counted(stay.at_begin, name) for stay in stays)
            # Whole numbers stay whole numbers, which are added up many times faster.
            used += (counted(begin, name) + ran) if weight == 1 else weight * (counted(begin, name) + ran)
        return Fraction(used)


@dataclass(frozen=True)
class Factor:
    """One counter in one stay: what the engine's stood at at both ends, its weight, and what that makes."""

    counter: str
    at_begin: int
    at_end: int
    weight: Fraction
    amount: Fraction


@dataclass(frozen=True)
class Line:
    """One stay in the arithmetic of a figure, with the sum up to and with it."""

    stay: Stay
    factors: tuple[Factor, ...]
    amount: Fraction
    sum: Fraction


@dataclass(frozen=True)
class Arithmetic:
    """How a figure adds up: what it begins with, and each stay."""

    opening: Fraction
    lines: tuple[Line, ...]
    total: Fraction


@dataclass(frozen=True)
class Status:
    """What is used and what is left of one limit; None where it can't be known.

    An overrun is a negative ``remaining``. ``due_on`` is the day of a calendar limit. Calendar amounts are in days.
    """

    limit: Limit
    used: Fraction | None
    remaining: Fraction | None
    state: str
    due_on: date | None = None

    @property
    def share_left(self) -> Fraction:
        """Return the part of the limit that is left; what can't be known comes before everything."""
        if self.used is None or self.remaining is None:
            return Fraction(-(10**9))
        return self.remaining / max(Fraction(1), self.used + self.remaining)


def arithmetic_of(limit: Limit, history: History) -> Arithmetic:
    """Return how the figure used of a limit adds up.

    Parameters
    ----------
    limit : Limit
        A limit of a counter or of equivalent cycles.
    history : History
        The part's.

    Returns
    -------
    Arithmetic
        Exact amounts. [s for times, else pieces]

    Notes
    -----
    A life counts from new. An overhaul or inspection interval counts from the last time it was done, and from new
    where it never was. Where the part's life at that time was stated, it is taken off; else only the stays from then
    on count.
    """
    begin, stays = counted_from(limit, history)
    opening = weighed(begin, limit.parameter, limit.weight)
    lines, total = [], opening
    for stay in stays:
        factors = _factors(limit, stay)
        amount = sum((factor.amount for factor in factors), Fraction(0))
        total += amount
        lines.append(Line(stay, factors, amount, total))
    return Arithmetic(opening, tuple(lines), total)


def counted_from(limit: Limit, history: History) -> tuple[Times, tuple[Stay, ...]]:
    """Return from what a figure begins, and the stays that count.

    Parameters
    ----------
    limit : Limit
        The limit.
    history : History
        The part's.

    Returns
    -------
    tuple of Times and tuple of Stay
        What the part brought and all its stays, unless an interval was met since.
    """
    done = None if limit.kind == "life" else history.done.get(limit.key)
    if done is None:
        return history.brought, history.stays
    if done.life is not None:
        return history.brought - done.life, history.stays
    return Times(), tuple(stay for stay in history.stays if stay.begin >= done.at)


def stays_until(stays: Iterable[Stay], at: datetime, counted: Times) -> tuple[Stay, ...]:
    """Return stays as they were known at a moment.

    Parameters
    ----------
    stays : iterable of Stay
        Where a part ran, in order of time.
    at : datetime
        The moment.
    counted : Times
        What the counters of the engine stood at then on which the part was at that moment.

    Returns
    -------
    tuple of Stay
        Those that had begun; one that was still going on ends with what its engine had counted.
    """
    begun = [stay for stay in stays if stay.begin <= at]
    return tuple(
        stay if stay.end is not None and stay.end <= at else Stay(stay.where, stay.begin, None, stay.at_begin, counted)
        for stay in begun
    )


def gains_while_off(history: History, off: Iterable[datetime]) -> list[datetime]:
    """Return the removals after which a part came back to an engine that had gained time meanwhile.

    Parameters
    ----------
    history : History
        The part's.
    off : iterable of datetime
        When the part was removed for a time only.

    Returns
    -------
    list of datetime
        Those after which the counters of the same engine stood higher when the part came back, as a run that was
        recorded late may show; none of a removal after which it ran elsewhere or has not come back.

    References
    ----------
    14 CFR 43.10(b): no disposition is needed only where the product gained no time meanwhile.
    """
    found = []
    for before, after in pairwise(history.stays):
        same = before.where == after.where and before.at_end != after.at_begin
        found += [at for at in off if same and at == before.end]
    return found


def _factors(limit: Limit, stay: Stay) -> tuple[Factor, ...]:
    found = []
    for name, weight in weights_of(limit.parameter, limit.weight).items():
        begin, end = counted(stay.at_begin, name), counted(stay.at_end, name)
        found.append(Factor(name, begin, end, weight, (end - begin) * weight))
    return tuple(found)


def status_of(limit: Limit, history: History, today: date) -> Status:
    """Return what is used and what is left of a limit.

    Parameters
    ----------
    limit : Limit
        The limit in force.
    history : History
        The part's.
    today : date
        The day for which a calendar limit is told.

    Returns
    -------
    Status
        Used and remaining, with the state in a word; a calendar limit of which the first day is not known is
        ``"unknown"``.
    """
    if limit.parameter == CALENDAR:
        return _calendar_status(limit, history, today)
    used = history.used_since(limit)
    return _status(limit, used, limit.amount - used, limit.tolerance)


def _calendar_status(limit: Limit, history: History, today: date) -> Status:
    done = None if limit.kind == "life" else history.done.get(limit.key)
    began = history.made_on if done is None else done.at.date()
    if began is None:
        return Status(limit, None, None, UNKNOWN)
    due = day_after(began, limit.amount, limit.unit)
    allowed = day_after(due, limit.tolerance, limit.unit) if limit.tolerance else due
    used, left = Fraction((today - began).days), Fraction((due - today).days)
    return _status(limit, used, left, (allowed - due).days, due)


def _status(limit: Limit, used: Fraction, left: Fraction, tolerance: int, due: date | None = None) -> Status:
    if left > 0:
        state = WITHIN
    elif left == 0:
        state = REACHED
    else:
        state = TOLERATED if -left <= tolerance else OVERRUN
    return Status(limit, used, left, state, due)


def day_after(day: date, amount: int, unit: str) -> date:
    """Return the day so many days or months after another.

    Parameters
    ----------
    day : date
        The first day.
    amount : int
        How many.
    unit : str
        ``"days"`` or ``"months"``.

    Returns
    -------
    date
        The day; the last of the month where the month has no such day. The last day of the calendar where it would
        lie beyond that.
    """
    try:
        return day + timedelta(days=amount) if unit == DAYS else months_later(day, amount)
    except (OverflowError, ValueError):
        return date.max


def governing(statuses: Iterable[Status]) -> Status | None:
    """Return the limit that is reached first.

    Parameters
    ----------
    statuses : iterable of Status
        The limits of one part.

    Returns
    -------
    Status or None
        The one with the smallest share left: an unknown one first, then the largest overrun; None for no limits.
    """
    return min(statuses, key=lambda status: status.share_left, default=None)


def amount_text(amount: Fraction | int, unit: str, places: int = 1) -> str:
    """Return an amount with its unit, rounded half up once.

    Parameters
    ----------
    amount : Fraction or int
        The amount. [``unit``]
    unit : str
        ``"s"``, shown in hours, ``"count"``, ``"days"`` or ``"months"``.
    places : int
        Decimal places of hours.

    Returns
    -------
    str
        For example ``"412.5 h"``, ``"-3 days"``, ``"120"``, or ``"120.5"`` where a weight leaves a part of a cycle.
    """
    if unit == SECONDS:
        return f"{hours_text(int(amount), places)} h"
    exact = Decimal(amount.numerator) / Decimal(amount.denominator)
    whole = exact == exact.to_integral_value()
    text = str(exact.quantize(Decimal(1) if whole else Decimal("0.1"), rounding=ROUND_HALF_UP))
    if unit == COUNT:
        return text
    word = {DAYS: "day", MONTHS: "month"}[unit]
    return f"{text} {word}" if abs(amount) == 1 else f"{text} {word}s"


def shown_unit(limit: Limit) -> str:
    """Return the unit in which used and left of a limit are told.

    Parameters
    ----------
    limit : Limit
        The limit.

    Returns
    -------
    str
        Days for a limit in months, else the limit's own unit.
    """
    return DAYS if limit.unit == MONTHS else limit.unit

"""Hours, cycles and starts: what an engine or a part has used; kept in whole seconds, rounded once when shown."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal

SECONDS_PER_HOUR = 3600
SECONDS_PER_MINUTE = 60


@dataclass(frozen=True)
class Times:
    """What was used: run time and time in service in whole seconds, starts, full and partial cycles.

    ``other`` holds what the type counts besides, by the counter's name.
    """

    run_time_s: int = 0
    time_in_service_s: int = 0
    starts: int = 0
    cycles: int = 0
    partial_cycles: int = 0
    other: Mapping[str, int] = field(default_factory=dict)

    def __add__(self, other: "Times") -> "Times":
        return self._with(other, 1)

    def __sub__(self, other: "Times") -> "Times":
        return self._with(other, -1)

    def _with(self, more: "Times", sign: int) -> "Times":
        names = sorted({*self.other, *more.other}) if self.other or more.other else ()
        counted = {name: self.other.get(name, 0) + sign * more.other.get(name, 0) for name in names}
        return Times(
            run_time_s=self.run_time_s + sign * more.run_time_s,
            time_in_service_s=self.time_in_service_s + sign * more.time_in_service_s,
            starts=self.starts + sign * more.starts,
            cycles=self.cycles + sign * more.cycles,
            partial_cycles=self.partial_cycles + sign * more.partial_cycles,
            other={name: amount for name, amount in counted.items() if amount},
        )


def total(times: Iterable[Times]) -> Times:
    """Return the sum of several times.

    Parameters
    ----------
    times : iterable of Times
        For example what a part brought, and what its engine used in each interval it was fitted.

    Returns
    -------
    Times
        The sum; nothing used where there are none.
    """
    return sum(times, Times())


def hours_text(seconds: int, places: int = 1) -> str:
    """Return a time as decimal hours, rounded half up, once.

    Parameters
    ----------
    seconds : int
        The time. [s]
    places : int
        Decimal places: 1 for tenths, 2 for hundredths.

    Returns
    -------
    str
        For example ``"1.2"`` for 4320 s. [h]

    References
    ----------
    Airservices Australia logbook table, minutes to tenths of an hour: half up for all 61 minutes.
    """
    hours = Decimal(seconds) / SECONDS_PER_HOUR
    return str(hours.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP))


def clock_text(seconds: int) -> str:
    """Return a time as hours and minutes, rounded half up, once.

    Parameters
    ----------
    seconds : int
        The time. [s]

    Returns
    -------
    str
        For example ``"9:42"`` for 34,920 s, ``"-0:06"`` for 360 s too many. [h:mm]
    """
    minutes = int((Decimal(seconds) / SECONDS_PER_MINUTE).quantize(Decimal(1), rounding=ROUND_HALF_UP))
    sign = "-" if minutes < 0 else ""
    return f"{sign}{abs(minutes) // 60}:{abs(minutes) % 60:02}"


def seconds_of_hours(hours: Decimal) -> int:
    """Return whole seconds of a time in decimal hours.

    Parameters
    ----------
    hours : Decimal
        The time as a person wrote it, not negative. [h]

    Returns
    -------
    int
        The time, rounded half up. [s]

    Raises
    ------
    ValueError
        If the time is negative.
    """
    if hours < 0:
        raise ValueError(f"{hours} h is negative; a time used is 0 or more.")
    return int((hours * SECONDS_PER_HOUR).quantize(Decimal(1), rounding=ROUND_HALF_UP))

"""Hours, cycles and starts: what an engine or a part has used; kept in whole seconds, rounded once when shown."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

SECONDS_PER_HOUR = 3600


@dataclass(frozen=True)
class Times:
    """What was used: run time and time in service in whole seconds, starts, cycles."""

    run_time_s: int = 0
    time_in_service_s: int = 0
    starts: int = 0
    cycles: int = 0

    def __add__(self, other: "Times") -> "Times":
        return Times(
            run_time_s=self.run_time_s + other.run_time_s,
            time_in_service_s=self.time_in_service_s + other.time_in_service_s,
            starts=self.starts + other.starts,
            cycles=self.cycles + other.cycles,
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

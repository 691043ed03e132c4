"""Counters as data: what is counted of an engine, in which unit, and cycles weighed as the maker says for a part."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from engines.times import Times

SECONDS, COUNT, DAYS, MONTHS = "s", "count", "days", "months"
EQUIVALENT: Final = "equivalent_cycles"
CALENDAR: Final = "calendar"


@dataclass(frozen=True)
class Counter:
    """Something counted of an engine: its name, what people call it, and its unit (``"s"`` or ``"count"``)."""

    name: str
    label: str
    unit: str = COUNT


@dataclass(frozen=True)
class ExcursionRule:
    """A cycle is a rise to ``high`` after the channel was at or below ``low``. [channel's unit]"""

    channel: str
    low: float
    high: float


@dataclass(frozen=True)
class RangeRule:
    """A cycle is a range of at least ``least``, counted by rainflow. [channel's unit]"""

    channel: str
    least: float


CycleRule = ExcursionRule | RangeRule


@dataclass(frozen=True)
class Position:
    """A place for a part: on the engine, or within the module of another place; with the part numbers that fit it.

    No part numbers means that the catalogue here does not narrow them.
    """

    name: str
    within: str = ""
    part_numbers: tuple[str, ...] = ()


STANDARD: Final = (
    Counter("time_in_service", "Time in service", SECONDS),
    Counter("run_time", "Run time", SECONDS),
    Counter("starts", "Starts"),
    Counter("cycles", "Full cycles"),
    Counter("partial_cycles", "Partial cycles"),
)
WHOLE: Final = Fraction(1)  # the weight of what is not weighed
# The column of a run, and the name in its times, by the name of its counter.
COLUMNS: Final = {
    "time_in_service": "time_in_service_s",
    "run_time": "run_time_s",
    "starts": "starts",
    "cycles": "cycles",
    "partial_cycles": "partial_cycles",
}
DERIVED: Final = (Counter(EQUIVALENT, "Equivalent cycles"), Counter(CALENDAR, "Calendar time", DAYS))
RESERVED: Final = frozenset(counter.name for counter in (*STANDARD, *DERIVED))


def counter_of(name: str, further: tuple[Counter, ...] = ()) -> Counter:
    """Return a counter by its name.

    Parameters
    ----------
    name : str
        Name of a standard counter, of equivalent cycles or calendar time, or of one that the type defines.
    further : tuple of Counter
        What the type counts besides the standard counters.

    Returns
    -------
    Counter
        The counter; one of that name, counted in pieces, where the type no longer defines it.
    """
    known = {counter.name: counter for counter in (*STANDARD, *DERIVED, *further)}
    return known.get(name) or Counter(name, name)


def counted(times: Times, name: str) -> int:
    """Return what a counter stands at.

    Parameters
    ----------
    times : Times
        What was used.
    name : str
        Name of a standard counter or of one that the type defines.

    Returns
    -------
    int
        The amount, 0 for a counter that nothing was counted of. [s for times, else pieces]
    """
    return getattr(times, COLUMNS[name]) if name in COLUMNS else times.other.get(name, 0)


def used_of(times: Times) -> dict[str, int]:
    """Return what times stand at by the counters' names.

    Parameters
    ----------
    times : Times
        What was used.

    Returns
    -------
    dict of str to int
        Every standard counter, and those that the type counts besides where there are any. [s for times, else pieces]
    """
    return {counter.name: counted(times, counter.name) for counter in STANDARD} | dict(times.other)


def equivalent_cycles(full: int, partial: int, weight: Fraction) -> Fraction:
    """Return full cycles and weighed partial ones together.

    Parameters
    ----------
    full : int
        Full cycles: start, power, stop.
    partial : int
        Partial cycles: power again without a stop between.
    weight : Fraction
        What one partial cycle counts for, as the maker states it for the part; 0 or more.

    Returns
    -------
    Fraction
        Total equivalent cycles, exact.

    Raises
    ------
    ValueError
        If the weight is negative.

    Notes
    -----
    100 starts and 140 flights are 100 full and 40 partial cycles: 120 with a weight of 0.5.
    """
    if weight < 0:
        raise ValueError(f"a partial cycle can't count for {weight}; its weight is 0 or more.")
    return full + partial * weight


def weights_of(name: str, weight: Fraction) -> Mapping[str, Fraction]:
    """Return the counters that a parameter is made up of, each with its weight.

    Parameters
    ----------
    name : str
        The parameter of a limit.
    weight : Fraction
        What one partial cycle counts for in equivalent cycles.

    Returns
    -------
    mapping of str to Fraction
        Counters by name; one counter of weight 1 for all but equivalent cycles.
    """
    return {"cycles": WHOLE, "partial_cycles": weight} if name == EQUIVALENT else {name: WHOLE}


def weighed(times: Times, name: str, weight: Fraction = Fraction(0)) -> Fraction:
    """Return what a parameter of a limit stands at.

    Parameters
    ----------
    times : Times
        What was used.
    name : str
        The parameter: a counter's name or equivalent cycles.
    weight : Fraction
        What one partial cycle counts for in equivalent cycles.

    Returns
    -------
    Fraction
        The amount, exact. [s for times, else pieces]
    """
    if name == EQUIVALENT:
        return equivalent_cycles(times.cycles, times.partial_cycles, weight)
    return Fraction(counted(times, name))

"""The course of a run: what was set at the levers and when, before any sensor saw it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

Knots = tuple[tuple[float, float], ...]  # (time [s], value), joined by straight lines; level beyond its ends

IDLE_N1, CRANKING_N1 = 62.0, 14.5  # percent
IDLE_ITT = 470.0  # degC


@dataclass(frozen=True)
class Course:
    """One run: when the starter turned and the fuel burnt, what was set, and what went amiss. [s from the first row]

    ``starting`` is the speed that the start follows from light-off to ``idle_s`` [%]; ``power`` runs from 0 at
    idle to 1 at take-off; ``propeller`` is the speed set [rpm]; ``extra`` is added to where a channel would
    settle [channel's unit]; ``mark_s`` is when take-off power was set; ``outage`` is the channel that was not
    recorded, from when, and until when; ``altitude`` is pressure altitude, where the recorder has it [ft].
    """

    seconds: float
    starter: tuple[float, float]
    air_temp: float
    lit: tuple[float, float] | None = None
    idle_s: float = 0.0
    starting: Knots = ((0.0, CRANKING_N1),)
    power: Knots = ((0.0, 0.0),)
    propeller: Knots = ((0.0, 0.0),)
    extra: Mapping[str, Knots] = field(default_factory=dict)
    mark_s: float = 0.0
    outage: tuple[str, float, float] | None = None
    altitude: Knots = ()

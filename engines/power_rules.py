"""What a type says of its power: its channels, how readings are corrected, the chart they are held against."""

from dataclasses import dataclass, field
from typing import Final

from engines.sea_level import Exponents

TEMPERATURE, SPEED, FUEL_FLOW = "temperature", "speed", "fuel_flow"
QUANTITIES: Final = (TEMPERATURE, SPEED, FUEL_FLOW)
Point = tuple[float, float]


@dataclass(frozen=True)
class Settled:
    """How still a run has to be, and for how long, for its readings to count as a setting. [s, channels' units]"""

    seconds: float
    torque: float
    propeller: float
    fuel_flow: float


@dataclass(frozen=True)
class AssuranceLine:
    """The most that a quantity may read, corrected, by corrected shaft power. [kW, the quantity's channel's unit]"""

    quantity: str
    points: tuple[Point, ...]


@dataclass(frozen=True)
class PowerRules:
    """The channels of torque, propeller speed, gas temperature, gas generator speed and fuel flow of a type.

    ``air_temperature`` and ``altitude`` are the channels of the air outside and of pressure altitude, "" where a
    person states them; ``gearing`` is turns of the shaft that torque is measured in, for one of the propeller;
    ``brought_back`` is the least fall of propeller speed that counts as bringing it back.
    """

    torque: str
    propeller: str
    temperature: str
    speed: str
    fuel_flow: str
    settled: Settled
    brought_back: float
    gearing: float = 1.0
    air_temperature: str = ""
    altitude: str = ""
    exponents: Exponents = field(default_factory=Exponents)
    assurance: tuple[AssuranceLine, ...] = ()
    source: str = ""

    def channel(self, quantity: str) -> str:
        """Return the channel of a quantity: temperature, speed or fuel_flow."""
        return {TEMPERATURE: self.temperature, SPEED: self.speed, FUEL_FLOW: self.fuel_flow}[quantity]


@dataclass(frozen=True)
class TrendRules:
    """How condition is followed: points of a baseline, least points of a trend, confidence, and what is a shift.

    ``least_power`` and ``most_power`` bound the corrected shaft power at which settings compare. [kW]
    """

    baseline: int
    least: int
    confidence: float
    shift: float
    least_power: float
    most_power: float

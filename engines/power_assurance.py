"""A power check: readings at one setting, corrected, held against the type's chart, with the margin of each."""

from collections.abc import Mapping
from dataclasses import dataclass

from engines.atmosphere import inlet_ratios
from engines.charts import EngineTypeData
from engines.power_rules import FUEL_FLOW, SPEED, TEMPERATURE, AssuranceLine, PowerRules
from engines.sea_level import (
    corrected_fuel_flow,
    corrected_power,
    corrected_speed,
    corrected_temperature,
    shaft_power,
)
from engines.units import convert

LOWEST_AIR_C, HIGHEST_AIR_C = -80.0, 70.0


@dataclass(frozen=True)
class PowerReadings:
    """What was read at one steady setting; channels in the type's units. [°C, ft]"""

    air_c: float
    altitude_ft: float
    torque: float
    propeller: float
    temperature: float
    speed: float
    fuel_flow: float


@dataclass(frozen=True)
class Assured:
    """One quantity of a power check: as read, corrected, the most that the chart allows, and what is left.

    ``most`` and ``margin`` are None where the chart has no line for it, or ends short of the power. [channel's unit]
    """

    quantity: str
    channel: str
    unit: str
    read: float
    corrected: float
    most: float | None
    margin: float | None

    @property
    def words(self) -> str:
        """Return what the quantity is called."""
        return self.quantity.replace("_", " ").capitalize()

    @property
    def is_beyond(self) -> bool:
        """Return whether it reads more than the chart allows; the line itself is allowed."""
        return self.margin is not None and self.margin < 0


@dataclass(frozen=True)
class PowerCheck:
    """A power check worked out: the ratios at the inlet, the power as read and corrected, each quantity. [kW]"""

    theta: float
    delta: float
    power: float
    corrected: float
    quantities: tuple[Assured, ...]

    def of(self, quantity: str) -> Assured:
        """Return one quantity: temperature, speed or fuel_flow."""
        return next(found for found in self.quantities if found.quantity == quantity)


def readings_faults(readings: PowerReadings) -> dict[str, str]:
    """Return what cannot be about the readings of a power check.

    Parameters
    ----------
    readings : PowerReadings
        The readings.

    Returns
    -------
    dict of str to str
        Field to sentence; empty where they can be used.
    """
    faults = {}
    if not LOWEST_AIR_C <= readings.air_c <= HIGHEST_AIR_C:
        faults["air_c"] = f"The air is between {LOWEST_AIR_C:g} and {HIGHEST_AIR_C:g} °C."
    try:
        inlet_ratios(15.0, readings.altitude_ft)
    except ValueError as error:
        faults["altitude_ft"] = str(error)
    for name in ("torque", "propeller", "fuel_flow", "speed"):
        if getattr(readings, name) <= 0:
            faults[name] = "It is above 0 in a power check."
    return faults


def torque_nm(torque: float, data: EngineTypeData) -> float:
    """Return a torque as the type's channel has it in newton metres.

    Parameters
    ----------
    torque : float
        The reading. [channel's unit]
    data : EngineTypeData
        The type, whose ``calibration`` says what 100 % is where the channel is in percent.

    Returns
    -------
    float
        The torque. [N·m]

    Raises
    ------
    UnitError
        If the channel's unit is no torque, and the type does not say what 100 % is.
    """
    name = data.power.torque if data.power else ""
    channel, indication = data.channel(name), data.indication(name)
    if indication is not None and indication.full is not None:
        return convert(torque * indication.full / 100.0, indication.full_unit, "N*m")
    return convert(torque, channel.unit, "N*m")


def power_kw(torque: float, propeller: float, data: EngineTypeData, rules: PowerRules) -> float:
    """Return the shaft power of a torque at a propeller speed.

    Parameters
    ----------
    torque : float
        As read. [torque channel's unit]
    propeller : float
        As read. [propeller channel's unit]
    data : EngineTypeData
        The type.
    rules : PowerRules
        Its channels, and the gearing between propeller and the shaft in which torque is measured.

    Returns
    -------
    float
        The power. [kW]
    """
    speed = convert(propeller, data.channel(rules.propeller).unit, "rpm") * rules.gearing
    return shaft_power(torque_nm(torque, data), speed)


def power_check(readings: PowerReadings, data: EngineTypeData, rules: PowerRules) -> PowerCheck:
    """Return a power check worked out.

    Parameters
    ----------
    readings : PowerReadings
        What was read.
    data : EngineTypeData
        The type.
    rules : PowerRules
        Its rules of power.

    Returns
    -------
    PowerCheck
        Ratios at the inlet, power, and each quantity against the chart.

    Notes
    -----
    Ram is neglected: the inlet is taken to have the temperature and pressure of the air outside, as on the ground or
    in slow flight. The chart's lines are straight between their points and end where these end.

    References
    ----------
    The corrections are those of :mod:`engines.sea_level`; the chart is the type's own, with its source.
    """
    theta, delta = inlet_ratios(readings.air_c, readings.altitude_ft)
    power, exponents = power_kw(readings.torque, readings.propeller, data, rules), rules.exponents
    corrected = corrected_power(power, theta, delta, exponents.power)
    unit = data.channel(rules.temperature).unit
    celsius = convert(readings.temperature, unit, "degC")
    values = {
        TEMPERATURE: convert(corrected_temperature(celsius, theta, exponents.temperature), "degC", unit),
        SPEED: corrected_speed(readings.speed, theta, exponents.speed),
        FUEL_FLOW: corrected_fuel_flow(readings.fuel_flow, theta, delta, exponents.fuel_flow),
    }
    lines = {line.quantity: line for line in rules.assurance}
    quantities = []
    for quantity, value in values.items():
        channel, most = data.channel(rules.channel(quantity)), _most(lines, quantity, corrected)
        margin = None if most is None else most - value
        read = getattr(readings, quantity)
        quantities.append(Assured(quantity, channel.name, channel.unit, read, value, most, margin))
    return PowerCheck(theta, delta, power, corrected, tuple(quantities))


def _most(lines: Mapping[str, AssuranceLine], quantity: str, power: float) -> float | None:
    """Return what the chart allows at a corrected power; None beyond the chart's ends."""
    points = lines[quantity].points if quantity in lines else ()
    for (x0, y0), (x1, y1) in zip(points, points[1:], strict=False):
        if x0 <= power <= x1:
            return y0 + (y1 - y0) * (power - x0) / (x1 - x0)
    return None

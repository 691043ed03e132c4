"""Readings brought to standard sea level, so that they compare; and shaft power from torque and speed."""

import math
from dataclasses import dataclass
from typing import Final

from engines.units import convert

TURN: Final = 2.0 * math.pi
SECONDS: Final = 60.0
KELVIN_C: Final = 273.15


@dataclass(frozen=True)
class Exponents:
    """By which power of theta each quantity is corrected; the defaults are the ideal ones, a maker may print others."""

    temperature: float = 1.0
    speed: float = 0.5
    fuel_flow: float = 0.5
    power: float = 0.5


def shaft_power(torque_nm: float, speed_rpm: float) -> float:
    """Return the power that a shaft carries.

    Parameters
    ----------
    torque_nm : float
        Torque in the shaft. [N·m]
    speed_rpm : float
        Speed of the same shaft. [rpm]

    Returns
    -------
    float
        The power. [kW]

    Notes
    -----
    Power is torque times angular speed. In hp, lbf·ft and rpm this is T N / 5252.113, which is 33 000 over 2 pi.

    References
    ----------
    NIST SP 811 (2008), Appendix B.8, for the horsepower of 550 ft·lbf/s.
    """
    return torque_nm * TURN * speed_rpm / SECONDS / 1000.0


def corrected_speed(speed: float, theta: float, exponent: float = 0.5) -> float:
    """Return a speed corrected to standard sea level.

    Parameters
    ----------
    speed : float
        As read. [rpm or %]
    theta : float
        Temperature ratio at the inlet.
    exponent : float
        Of theta.

    Returns
    -------
    float
        N / theta^exponent. [as read]

    References
    ----------
    Dimensional analysis of gas turbines; N/sqrt(theta) as in NASA's C-MAPSS data (corrected fan speed).
    """
    return float(speed / theta**exponent)


def corrected_fuel_flow(flow: float, theta: float, delta: float, exponent: float = 0.5) -> float:
    """Return a fuel flow corrected to standard sea level.

    Parameters
    ----------
    flow : float
        As read. [mass or volume a time]
    theta, delta : float
        Temperature and pressure ratio at the inlet.
    exponent : float
        Of theta.

    Returns
    -------
    float
        Wf / (delta theta^exponent). [as read]

    Notes
    -----
    Fuel flow is divided by both; W sqrt(theta) / delta is the form of an air flow.
    """
    return float(flow / (delta * theta**exponent))


def corrected_power(power: float, theta: float, delta: float, exponent: float = 0.5) -> float:
    """Return a shaft power corrected to standard sea level.

    Parameters
    ----------
    power : float
        As worked out. [kW or hp]
    theta, delta : float
        Temperature and pressure ratio at the inlet.
    exponent : float
        Of theta.

    Returns
    -------
    float
        P / (delta theta^exponent). [as given]
    """
    return float(power / (delta * theta**exponent))


def corrected_torque(torque: float, delta: float) -> float:
    """Return a torque corrected to standard sea level.

    Parameters
    ----------
    torque : float
        As read. [any unit]
    delta : float
        Pressure ratio at the inlet.

    Returns
    -------
    float
        Q / delta. [as read]
    """
    return torque / delta


def corrected_temperature(temperature_c: float, theta: float, exponent: float = 1.0) -> float:
    """Return a gas temperature corrected to standard sea level.

    Parameters
    ----------
    temperature_c : float
        As read. [°C]
    theta : float
        Temperature ratio at the inlet.
    exponent : float
        Of theta.

    Returns
    -------
    float
        T / theta^exponent, taken in kelvin. [°C]
    """
    return float(convert(temperature_c, "degC", "kelvin") / theta**exponent - KELVIN_C)

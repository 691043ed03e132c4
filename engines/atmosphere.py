"""The International Standard Atmosphere, and the ratios by which readings are brought to its sea level."""

import math
from typing import Final

from engines.units import convert

SEA_LEVEL_K: Final = 288.15
SEA_LEVEL_PA: Final = 101_325.0
LAPSE_K_M: Final = -0.0065  # up to the tropopause, per geopotential metre
TROPOPAUSE_M: Final = 11_000.0
LOWEST_M, HIGHEST_M = -5_000.0, 20_000.0
GRAVITY: Final = 9.80665  # m/s2
GAS_CONSTANT: Final = 287.05287  # J/(kg K), of dry air
HEAT_RATIO: Final = 1.4


def _checked(altitude_m: float) -> float:
    if not LOWEST_M <= altitude_m <= HIGHEST_M:
        raise ValueError(f"An altitude of {altitude_m:g} m is not between {LOWEST_M:g} m and {HIGHEST_M:g} m.")
    return altitude_m


def standard_temperature(altitude_m: float) -> float:
    """Return the temperature of the standard atmosphere.

    Parameters
    ----------
    altitude_m : float
        Geopotential altitude, from -5000 to 20 000. [m]

    Returns
    -------
    float
        The temperature. [K]

    Raises
    ------
    ValueError
        If the altitude lies outside.

    References
    ----------
    ICAO Doc 7488 (Manual of the ICAO Standard Atmosphere) and ISO 2533: 288.15 K at sea level, 6.5 K a kilometre less
    up to 11 km, level above.
    """
    return SEA_LEVEL_K + LAPSE_K_M * min(_checked(altitude_m), TROPOPAUSE_M)


def standard_pressure(altitude_m: float) -> float:
    """Return the pressure of the standard atmosphere.

    Parameters
    ----------
    altitude_m : float
        Geopotential altitude, which is what a pressure altitude is, from -5000 to 20 000. [m]

    Returns
    -------
    float
        The pressure. [Pa]

    Raises
    ------
    ValueError
        If the altitude lies outside.

    References
    ----------
    As for :func:`standard_temperature`; the hydrostatic equation with g of 9.806 65 m/s2 and R of 287.052 87 J/(kg K).
    """
    temperature = standard_temperature(altitude_m)
    lapsed: float = SEA_LEVEL_PA * (temperature / SEA_LEVEL_K) ** (-GRAVITY / (LAPSE_K_M * GAS_CONSTANT))
    above = max(altitude_m - TROPOPAUSE_M, 0.0)
    return lapsed * math.exp(-GRAVITY * above / (GAS_CONSTANT * temperature))


def inlet_ratios(air_c: float, altitude_ft: float, mach: float = 0.0) -> tuple[float, float]:
    """Return theta and delta: temperature and pressure at the inlet as shares of those at standard sea level.

    Parameters
    ----------
    air_c : float
        Outside air temperature. [°C]
    altitude_ft : float
        Pressure altitude. [ft]
    mach : float
        Mach number; at 0 the inlet has the temperature and the pressure of the air outside.

    Returns
    -------
    (float, float)
        theta, T/288.15 K, and delta, p/101 325 Pa; total ones where there is a Mach number.

    Raises
    ------
    ValueError
        If the altitude lies outside the atmosphere's range.

    Notes
    -----
    What is gained in the inlet is taken whole: no loss in it.

    References
    ----------
    Isentropic flow of air: T0/T = 1 + (k - 1)/2 M2, p0/p = (T0/T)^(k/(k - 1)), k = 1.4 (NACA Report 1135).
    """
    total = 1.0 + (HEAT_RATIO - 1.0) / 2.0 * mach * mach
    theta = convert(air_c, "degC", "kelvin") / SEA_LEVEL_K * total
    pressure = standard_pressure(convert(altitude_ft, "ft", "m"))
    return float(theta), pressure / SEA_LEVEL_PA * total ** (HEAT_RATIO / (HEAT_RATIO - 1.0))

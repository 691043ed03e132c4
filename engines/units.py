"""Units of channels: recognised, compared, and converted as values or as differences (pint)."""

from functools import cache
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from engines.errors import DomainError

Number = TypeVar("Number", float, NDArray[np.float64])

# What recorders and people write, beside the names that pint itself knows.
SPELLINGS = {
    "°c": "degC", "c": "degC", "deg c": "degC", "degc": "degC", "deg. c": "degC", "celsius": "degC",
    "°f": "degF", "f": "degF", "deg f": "degF", "degf": "degF", "deg. f": "degF", "fahrenheit": "degF",
    "%": "percent", "pct": "percent", "percent": "percent", "% rpm": "percent", "per cent": "percent",
    "rpm": "rpm", "1/min": "rpm", "r/min": "rpm",
    "psi": "psi", "psig": "psi", "lb/in2": "psi", "lbf/in2": "psi",
    "lb/h": "lb/h", "lb/hr": "lb/h", "pph": "lb/h", "kg/h": "kg/h", "kg/hr": "kg/h",
    "l/h": "l/h", "gal/h": "gal/h", "gph": "gal/h",
    "lbf*ft": "lbf*ft", "lbf·ft": "lbf*ft", "lbf.ft": "lbf*ft", "lbf ft": "lbf*ft", "ft-lb": "lbf*ft",
    "ft·lb": "lbf*ft", "ft lb": "lbf*ft", "ft-lbf": "lbf*ft", "ft·lbf": "lbf*ft", "lb-ft": "lbf*ft",
    "n·m": "N*m", "nm": "N*m", "n*m": "N*m", "n.m": "N*m", "n m": "N*m",
    "v": "V", "vdc": "V", "volt": "V", "volts": "V", "a": "A", "amp": "A", "amps": "A",
    "s": "s", "sec": "s", "seconds": "s", "min": "min", "h": "h", "hr": "h",
    "ft": "ft", "m": "m", "kt": "knot", "kts": "knot", "knots": "knot",
    "hp": "hp", "shp": "hp", "kw": "kW", "kpa": "kPa", "bar": "bar", "mbar": "mbar", "hpa": "hPa", "inhg": "inHg",
    "in hg": "inHg", "in/s": "in/s", "ips": "in/s", "k": "kelvin",
}  # fmt: skip
SYMBOLS = {"degC": "°C", "degF": "°F", "percent": "%", "lbf*ft": "lbf·ft", "N*m": "N·m", "knot": "kt"}
# So that a reading on a limit stays on it: in whole degrees these lose nothing, as going through kelvin would.
# What is added before, multiplied by, divided by, and added after.
EXACTLY: dict[tuple[str | None, str | None], tuple[float, float, float, float]] = {
    ("degF", "degC"): (-32.0, 5.0, 9.0, 0.0),
    ("degC", "degF"): (0.0, 9.0, 5.0, 32.0),
}
DIFFERENCES = {"degC": "delta_degC", "degF": "delta_degF"}


class UnitError(DomainError):
    """A unit that is not known, or that measures something else."""

    code = "unit_unusable"


@cache
def _registry() -> Any:
    """Return pint's registry, built on first use because it costs most of a second."""
    import pint

    return pint.UnitRegistry()


def unit_known(text: str) -> str | None:
    """Return the canonical name of a unit as people and recorders write it, or None.

    Parameters
    ----------
    text : str
        For example ``"°C"``, ``"% "`` or ``"LB/HR"``; case does not matter for the usual spellings.

    Returns
    -------
    str or None
        A name that :func:`convert` takes, or None where the text is not a unit.
    """
    text = text.strip().strip("[]()").strip()
    known = SPELLINGS.get(text.lower())
    if known or not text or not any(c.isalpha() for c in text):
        return known
    try:
        _registry().parse_units(text)
    except Exception:  # noqa: BLE001 - pint raises a dozen kinds, tokenizer errors among them, and all mean "no"
        return None
    return text


def symbol_of(unit: str) -> str:
    """Return how a unit is written for people.

    Parameters
    ----------
    unit : str
        A name that :func:`convert` takes.

    Returns
    -------
    str
        For example ``"°C"`` for ``"degC"``; the name itself where there is no shorter sign.
    """
    return SYMBOLS.get(unit, unit)


def _unit(name: str) -> Any:
    known = unit_known(name)
    if known is None:
        raise UnitError(f"“{name}” is not a unit that is known here; write for example degC, percent, rpm or psi.")
    return _registry().Unit(known)


def unit_fits(unit: str, other: str) -> bool:
    """Return whether two units measure the same dimension.

    Parameters
    ----------
    unit, other : str
        Names of units.

    Returns
    -------
    bool
        True for example for psi and kPa.

    Raises
    ------
    UnitError
        If one is not known.
    """
    from pint.errors import PintError

    try:
        _registry().Quantity(1.0, _unit(unit)).to(_unit(other))
    except PintError:
        return False
    return True


def _check(unit: str, other: str) -> None:
    if not unit_fits(unit, other):
        raise UnitError(f"{unit} can't be turned into {other}: they measure different things.")


def convert(values: Number, unit: str, to: str) -> Number:
    """Return readings converted from one unit to another.

    Parameters
    ----------
    values : float or array of float, any shape
        Readings. [unit]
    unit, to : str
        Names of units of the same dimension.

    Returns
    -------
    float or array of float
        The readings, the very same object where the units are equal. [to]

    Raises
    ------
    UnitError
        If a unit is not known or the two measure different things.

    References
    ----------
    NIST SP 811 (2008), Appendix B.8, through pint.
    """
    if unit == to:
        return values
    _check(unit, to)
    exact = EXACTLY.get((unit_known(unit), unit_known(to)))
    if exact is not None:
        before, times, over, after = exact
        exactly: Number = (values + before) * times / over + after
        return exactly
    converted: Number = _registry().Quantity(values, _unit(unit)).to(_unit(to)).magnitude
    return converted


def convert_difference(difference: float, unit: str, to: str) -> float:
    """Return a difference of two readings converted from one unit to another.

    A difference of 20 °C is one of 36 °F, not 68 °F.

    Parameters
    ----------
    difference : float
        The difference, a tolerance or a margin. [unit]
    unit, to : str
        Names of units of the same dimension.

    Returns
    -------
    float
        The difference. [to]

    Raises
    ------
    UnitError
        If a unit is not known or the two measure different things.
    """
    if unit == to:
        return difference
    _check(unit, to)
    source, target = (DIFFERENCES.get(unit_known(u) or u, unit_known(u)) for u in (unit, to))
    return float(_registry().Quantity(difference, source).to(target).magnitude)

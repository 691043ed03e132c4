"""Units: spellings, values, and differences, against NIST SP 811."""

import numpy as np
import pytest

from engines.units import UnitError, convert, convert_difference, symbol_of, unit_fits, unit_known

# NIST SP 811 (2008), Appendix B.8, as printed there: from, to, factor. US Government work.
SP811 = [
    ("psi", "Pa", 6894.757),
    ("lbf*ft", "N*m", 1.355818),
    ("hp", "W", 745.6999),
    ("lb/h", "kg/s", 0.0001259979),
    ("inHg", "Pa", 3386.389),
    ("bar", "Pa", 100000.0),
    ("ft", "m", 0.3048),
    ("knot", "m/s", 0.5144444),
    ("gal/h", "m**3/s", 1.051503e-06),
]
# Formulas of NIST SP 811 for degrees Fahrenheit: degC = (F - 32) / 1.8.
FAHRENHEIT = [(-40.0, -40.0), (32.0, 0.0), (59.0, 15.0), (212.0, 100.0), (1292.0, 700.0), (1600.0, 871.1111)]


@pytest.mark.parametrize(("unit", "to", "factor"), SP811)
def test_values_convert_by_the_published_factor(unit: str, to: str, factor: float) -> None:
    assert convert(1.0, unit, to) == pytest.approx(factor, rel=1e-6)


@pytest.mark.parametrize(("fahrenheit", "celsius"), FAHRENHEIT)
def test_temperatures_convert_both_ways(fahrenheit: float, celsius: float) -> None:
    assert convert(fahrenheit, "degF", "degC") == pytest.approx(celsius, abs=1e-4)
    assert convert(celsius, "degC", "degF") == pytest.approx(fahrenheit, abs=1e-3)


# A public US Army manual (TM 1-1500-204-23-1) prints a difference of 20 °C as 68 °F: that is the reading, not the
# difference. By SP 811 (5/9 K to the degree) 20 °C is 36 °F and 30 °C is 54 °F of difference.
@pytest.mark.parametrize(("celsius", "fahrenheit"), [(20.0, 36.0), (30.0, 54.0), (0.0, 0.0), (-5.0, -9.0)])
def test_a_difference_converts_as_a_difference(celsius: float, fahrenheit: float) -> None:
    assert convert_difference(celsius, "degC", "degF") == pytest.approx(fahrenheit)
    assert convert_difference(fahrenheit, "degF", "degC") == pytest.approx(celsius)
    assert convert_difference(1.0, "psi", "Pa") == pytest.approx(6894.757, rel=1e-6)


# Whole degrees come out whole, so that a reading on a limit stays on it.
@pytest.mark.parametrize(("fahrenheit", "celsius"), [(32.0, 0.0), (212.0, 100.0), (1292.0, 700.0), (-40.0, -40.0)])
def test_a_limit_in_the_other_unit_is_the_same_limit(fahrenheit: float, celsius: float) -> None:
    assert convert(fahrenheit, "degF", "degC") == celsius
    assert convert(celsius, "°C", "°F") == fahrenheit


def test_an_array_converts_and_an_equal_unit_costs_nothing() -> None:
    values = np.array([32.0, np.nan])
    converted = convert(values, "degF", "degC")
    assert converted[0] == pytest.approx(0.0)
    assert np.isnan(converted[1])
    assert convert(values, "degF", "degF") is values
    assert convert_difference(3.0, "degC", "degC") == 3.0


@pytest.mark.parametrize(
    ("text", "known"),
    [("°C", "degC"), ("[deg C]", "degC"), (" % ", "percent"), ("RPM", "rpm"), ("ft-lb", "lbf*ft"), ("kPa", "kPa"),
     ("millibar", "millibar"), ("---", None), ("", None), ("12.5", None), ("wombat", None), ("rpm +", None)],
)  # fmt: skip
def test_spellings_of_units(text: str, known: str | None) -> None:
    assert unit_known(text) == known


def test_symbols_are_for_people() -> None:
    assert (symbol_of("degC"), symbol_of("percent"), symbol_of("psi")) == ("°C", "%", "psi")


def test_units_of_another_kind_are_refused() -> None:
    assert unit_fits("psi", "kPa")
    assert not unit_fits("psi", "degC")
    assert not unit_fits("degC*V", "degC")
    assert not unit_fits("degC%", "degC")  # a temperature's dimension, but no zero to convert by
    with pytest.raises(UnitError, match="psi can't be turned into degC"):
        convert(1.0, "psi", "degC")
    with pytest.raises(UnitError, match="“wombat” is not a unit"):
        convert_difference(1.0, "wombat", "degC")

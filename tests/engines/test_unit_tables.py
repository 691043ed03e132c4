"""The tables of units that go with a type document, against the conversion itself and NIST SP 811."""

import json
from itertools import pairwise
from typing import Any

import pytest

from engines.charts import Channel, EngineTypeData, LimitChart
from engines.unit_tables import conversion, unit_tables
from engines.units import SPELLINGS, convert, convert_difference, unit_fits

# Invented for the tests; no limits are set.
TYPE = EngineTypeData(
    name="Invented for the tests",
    channels=(Channel("itt", "ITT", "degC"), Channel("oil", "Oil pressure", "psi"), Channel("odd", "Odd", "millibar")),
    charts=(LimitChart("ITT", "itt", "degF", 1300.0, ()), LimitChart("Oil", "oil", "kPa", 300.0, ())),
)
READINGS = (-40.0, 0.0, 1.0, 98.6, 712.3, 1292.0)
UNITS = sorted(set(SPELLINGS.values()))


def by_figures(figures: dict[str, float], reading: float) -> float:
    """Return a reading as the tables turn it."""
    return (reading + figures["before"]) * figures["times"] / figures["over"] + figures["after"]


@pytest.mark.parametrize("unit", UNITS)
def test_figures_say_what_the_conversion_does(unit: str) -> None:
    for to in UNITS:
        figures = conversion(unit, to)
        assert (figures is None) == (not unit_fits(unit, to))
        for reading in READINGS if figures else ():
            assert by_figures(figures, reading) == pytest.approx(convert(reading, unit, to), rel=1e-12, abs=1e-9)
            assert figures["difference"] * reading == pytest.approx(convert_difference(reading, unit, to), rel=1e-12)


# NIST SP 811 (2008), Appendix B.8 and B.9, US Government work: degC = (degF - 32) / 1.8; 1 psi = 6.894757 kPa.
@pytest.mark.parametrize(
    ("unit", "to", "reading", "expected"),
    [("degF", "degC", 1292.0, 700.0), ("degC", "degF", 700.0, 1292.0), ("psi", "kPa", 1.0, 6.894757)],
)
def test_figures_are_the_published_ones(unit: str, to: str, reading: float, expected: float) -> None:
    assert by_figures(conversion(unit, to) or {}, reading) == pytest.approx(expected, rel=1e-7)


def test_a_reading_on_a_limit_stays_on_it() -> None:
    there, back = conversion("degC", "degF") or {}, conversion("degF", "degC") or {}
    for celsius in range(-50, 1200, 5):  # whole in both
        fahrenheit = by_figures(there, float(celsius))
        assert (fahrenheit, by_figures(back, fahrenheit)) == (celsius * 9 / 5 + 32, celsius)


def test_tables_have_every_way_into_the_units_of_the_type() -> None:
    tables: dict[str, Any] = json.loads(json.dumps(unit_tables(TYPE)))
    assert [tables["names"][text] for text in ("°f", "degF", "psig", "millibar")] == ["degF", "degF", "psi", "millibar"]
    ways = tables["conversions"]
    assert set(ways["degC"]) == {"degF"}
    assert set(ways["kelvin"]) == {"degC", "degF"}
    assert set(ways["bar"]) == {"psi", "kPa", "millibar"}
    assert (set(ways["min"]), set(ways["percent"])) == ({"s"}, set())
    # A way there and back is the same reading again.
    for one, other in pairwise(("psi", "kPa", "millibar")):
        there, back = ways[one][other], ways[other][one]
        assert by_figures(back, by_figures(there, 43.5)) == pytest.approx(43.5, rel=1e-12)

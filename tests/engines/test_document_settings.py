"""What an engine type document says of power and trend."""

from typing import Any

import pytest

from engines.documents import engine_type_read
from engines.errors import DocumentError
from engines.power_rules import AssuranceLine, Settled
from engines.sea_level import Exponents
from tests.documents import type_document
from tests.power import POWER, TREND, power_document

HP = 0.7456998715822702  # kW, 550 ft·lbf/s (NIST SP 811)


def test_without_them_nothing_is_said() -> None:
    read = engine_type_read(type_document())
    assert (read.power, read.trend) == (None, None)


def test_rules_of_power_are_read() -> None:
    power = engine_type_read(power_document()).power
    assert power is not None
    assert (power.torque, power.propeller, power.air_temperature, power.altitude) == ("torque", "np", "oat", "altitude")
    assert (power.gearing, power.brought_back, power.exponents) == (1, 50, Exponents())
    assert power.settled == Settled(20, 1.5, 15, 6)
    first = power.assurance[0]
    assert first == AssuranceLine("temperature", ((pytest.approx(200 * HP), 560), (pytest.approx(500 * HP), 650)))
    assert power.source == "invented for the tests, page 4"
    assert [power.channel(name) for name in ("temperature", "speed", "fuel_flow")] == ["itt", "n1", "fuel_flow"]


def test_what_may_be_left_out() -> None:
    least = {name: POWER[name] for name in ("torque", "propeller", "temperature", "speed", "fuel_flow")}
    least |= {name: POWER[name] for name in ("brought_back", "settled")}
    power = engine_type_read(power_document(power=least)).power
    assert power is not None
    assert (power.air_temperature, power.altitude, power.assurance, power.source) == ("", "", (), "")


LINE = POWER["assurance"]["lines"][0]


@pytest.mark.parametrize(
    ("changes", "path", "says"),
    [
        ({"torque": "q"}, "torque", "is not a channel"),
        ({"torque": "n1"}, "torque", "say under calibration what its 100 % is"),
        ({"altitude": "oat"}, "altitude", "can't be turned into ft"),
        ({"air_temperature": "q"}, "air_temperature", "is not a channel"),
        ({"gearing": 0}, "gearing", "must be above 0"),
        ({"brought_back": 0}, "brought_back", "must be above 0"),
        ({"settled": {"seconds": 0, "torque": 1, "propeller": 1, "fuel_flow": 1}}, "settled.seconds", "above 0"),
        ({"exponents": {"temperature": -1}}, "exponents.temperature", "must not be below 0"),
        ({"assurance": {"unit": "psi", "lines": [LINE]}}, "assurance.unit", "is no unit of power"),
        ({"assurance": {"unit": "flurb", "lines": [LINE]}}, "assurance.unit", "is no unit of power"),
        ({"assurance": {"unit": "hp", "lines": [LINE, LINE]}}, "assurance.lines[1].quantity", "is used twice"),
        ({"assurance": {"unit": "hp", "lines": [LINE | {"quantity": "x"}]}}, "assurance.lines[0].quantity", "must be"),
        (
            {"assurance": {"unit": "hp", "lines": [{"points": LINE["points"]}]}},
            "assurance.lines[0].quantity",
            "is missing",
        ),
        (
            {"assurance": {"unit": "hp", "lines": [LINE | {"points": LINE["points"][:1]}]}},
            "assurance.lines[0].points",
            "at least two",
        ),
        (
            {"assurance": {"unit": "hp", "lines": [LINE | {"points": LINE["points"][::-1]}]}},
            "assurance.lines[0].points[1].power",
            "must increase",
        ),
        ({"chart": 1}, "chart", "is not known here"),
    ],
)
def test_what_is_wrong_with_rules_of_power(changes: dict[str, Any], path: str, says: str) -> None:
    with pytest.raises(DocumentError) as refused:
        engine_type_read(power_document(power=POWER | changes))
    assert says in refused.value.fields[f"power.{path}"]


def test_rules_of_a_trend_are_read() -> None:
    trend = engine_type_read(power_document()).trend
    assert trend is not None
    assert (trend.baseline, trend.least, trend.confidence, trend.shift) == (4, 6, 0.9, 0.05)
    assert (trend.least_power, trend.most_power) == (pytest.approx(250 * HP), pytest.approx(450 * HP))


@pytest.mark.parametrize(
    ("changes", "path", "says"),
    [
        ({"confidence": 1}, "confidence", "must lie between 0 and 1"),
        ({"shift": 0}, "shift", "must lie between 0 and 1"),
        ({"most_power": 250}, "most_power", "must be above least_power"),
        ({"unit": "psi"}, "unit", "is no unit of power"),
        ({"unit": "flurb"}, "unit", "is no unit of power"),
        ({"least": 2}, "least", "must not be below 3"),
        ({"baseline": 0}, "baseline", "must not be below 1"),
        ({"slope": 1}, "slope", "is not known here"),
    ],
)
def test_what_is_wrong_with_rules_of_a_trend(changes: dict[str, Any], path: str, says: str) -> None:
    with pytest.raises(DocumentError) as refused:
        engine_type_read(power_document(trend=TREND | changes))
    assert says in refused.value.fields[f"trend.{path}"]

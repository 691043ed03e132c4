"""What a typed reading in another unit is in the unit of its limit."""

from datetime import date

import pytest

from engines.calibration import Calibration, Indication
from engines.documents import engine_type_read
from engines.evidence import ReadingFacts
from engines.readings_as import ReadAs, peak_as, read_as, readings_as, steps_of, units_read
from engines.units import UnitError
from tests.power import indicated_document

FULL = Indication("torque", ("psi",), 1480.0, "lbf*ft")
OWN = Calibration("torque", "psi", "percent", ((0, 0), (10, 40), (22, 100)), date(2026, 5, 2), "Bench sheet 12")
BY = "the engine's own calibration of 2026-05-02, Bench sheet 12"
DATA = engine_type_read(indicated_document())
TORQUE = next(chart for chart in DATA.charts if chart.channel == "torque")


# Along a broken line by hand: 16 psi is half way from 10 to 22, so 70 %; 25 psi is 3 beyond 22 at 5 % a psi.
@pytest.mark.parametrize(
    ("value", "unit", "is_value", "by"),
    [
        (16.0, "psi", 70.0, BY),
        (25.0, "psi", 115.0, f"{BY}, carried on beyond its pairs"),
        (740.0, "lbf*ft", 50.0, "100 % is 1480 lbf·ft by the type"),
        (70.0, "percent", 70.0, ""),
    ],
)
def test_torque_is_turned_by_calibration_or_by_what_the_type_says(
    value: float, unit: str, is_value: float, by: str
) -> None:
    assert read_as(value, unit, "percent", FULL, OWN) == ReadAs(pytest.approx(is_value), "percent", by)


# NIST SP 811 (2008), Appendix B.8: 1 lbf·ft is 1.355 818 N·m; 1 psi is 6.894 757 kPa.
def test_newton_metres_and_kilopascals_by_published_factors() -> None:
    assert read_as(1480 * 1.355818, "N*m", "percent", FULL, OWN).value == pytest.approx(100.0, abs=1e-4)
    assert read_as(16 * 6.894757, "kPa", "percent", FULL, OWN).value == pytest.approx(70.0, abs=1e-4)


def test_a_temperature_is_turned_by_units_alone() -> None:
    assert read_as(1328.0, "degF", "degC") == ReadAs(pytest.approx(720.0), "degC")


@pytest.mark.parametrize("unit", ["psi", "degC", "furlong"])
def test_what_nothing_turns_is_refused(unit: str) -> None:
    with pytest.raises(UnitError):
        read_as(16.0, unit, "percent", FULL)
    with pytest.raises(UnitError):
        read_as(16.0, unit, "percent", Indication("torque", ("psi",)))


def test_only_readings_in_another_unit_are_turned() -> None:
    readings = [
        ReadingFacts("Torque", 16.0, 3.0, "psi"),
        ReadingFacts("Torque", 101.0, 3.0),
        ReadingFacts("Torque", 101.0, 3.0, "%"),
        ReadingFacts("Torque", None, 3.0, "psi"),
        ReadingFacts("No such limit", 16.0, 3.0, "psi"),
    ]
    assert readings_as(readings, DATA, {"torque": OWN}) == {0: ReadAs(pytest.approx(70.0), "percent", BY)}
    assert peak_as(740.0, "lbf*ft", TORQUE, DATA, {}).value == pytest.approx(50.0)


def test_a_sheet_offers_the_units_of_the_instrument() -> None:
    channel = DATA.channel("torque")
    assert units_read(TORQUE, channel, FULL, OWN) == ("percent", "lbf*ft", "N*m", "psi")
    assert units_read(TORQUE, channel, None, None) == ("percent",)


def test_a_phone_gets_the_corners_of_the_line() -> None:
    assert steps_of("psi", "percent", FULL, OWN) == [[0.0, 0.0], [10.0, 40.0], [22.0, 100.0]]
    assert steps_of("degF", "degC", None, None)[1] == [100.0, pytest.approx(37.7777778)]
    assert steps_of("lbf*ft", "percent", FULL, OWN)[1] == [100.0, pytest.approx(100 * 100 / 1480)]

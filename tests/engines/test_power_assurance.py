"""A power check worked by hand: power, corrections and margins to an invented chart."""

from dataclasses import replace
from typing import Any

import pytest

from engines.charts import EngineTypeData
from engines.documents import engine_type_read
from engines.power_assurance import PowerReadings, power_check, power_kw, readings_faults, torque_nm
from engines.units import UnitError, convert
from tests.power import POWER, READ, power_document


def data_of(**changes: Any) -> EngineTypeData:
    return engine_type_read(power_document(**changes))


DATA = data_of()


def test_at_standard_sea_level_everything_reads_as_it_is() -> None:
    # 100 % is 1480 lbf·ft; at 70 % and 1700 rpm: 1036 x 1700 / 5252.113 hp.
    check = power_check(READ, DATA, DATA.power)
    assert (check.theta, check.delta) == (pytest.approx(1), pytest.approx(1))
    assert convert(check.power, "kW", "hp") == pytest.approx(1036 * 1700 / 5252.113122)
    assert check.corrected == pytest.approx(check.power)
    assert [(q.channel, q.corrected) for q in check.quantities] == [
        ("itt", pytest.approx(600)), ("n1", pytest.approx(92)), ("fuel_flow", pytest.approx(290)),
    ]  # fmt: skip


def test_margins_to_the_chart_between_its_points() -> None:
    # 335.33 hp lies at (335.33 - 200) / 300 of the way from 560 to 650: 600.6; 0.6 °C are left.
    check = power_check(READ, DATA, DATA.power)
    temperature, speed, fuel = (check.of(name) for name in ("temperature", "speed", "fuel_flow"))
    most = 560 + 90 * (1036 * 1700 / 5252.113122 - 200) / 300
    assert (temperature.most, temperature.margin) == (pytest.approx(most), pytest.approx(most - 600))
    assert (temperature.is_beyond, speed.is_beyond) == (False, False)
    assert speed.margin == pytest.approx(90 + 5 * (1036 * 1700 / 5252.113122 - 200) / 300 - 92)
    assert (fuel.most, fuel.margin, fuel.is_beyond) == (None, None, False)
    assert power_check(replace(READ, speed=93.0), DATA, DATA.power).of("speed").is_beyond


def test_on_a_hot_day_the_corrections_are_those_of_the_checks() -> None:
    # engine_corrections_examples.json, 35 °C at sea level: theta 1.069 408 29; 680 °C becomes 618.137 271 °C,
    # 95 % becomes 91.865 371 %, 400 lb/h becomes 386.801 56 lb/h.
    check = power_check(replace(READ, air_c=35.0, temperature=680.0, speed=95.0, fuel_flow=400.0), DATA, DATA.power)
    assert check.theta == pytest.approx(1.06940829)
    found = {quantity.quantity: quantity.corrected for quantity in check.quantities}
    assert found == {
        "temperature": pytest.approx(618.137271),
        "speed": pytest.approx(91.865371),
        "fuel_flow": pytest.approx(386.80156),
    }
    assert check.corrected == pytest.approx(check.power / 1.03412199)


@pytest.mark.parametrize("torque", [10.0, 99.0])
def test_the_chart_ends_where_its_points_end(torque: float) -> None:
    check = power_check(replace(READ, torque=torque, propeller=2200.0), DATA, DATA.power)
    assert check.of("temperature").margin is None


def test_the_ends_themselves_are_on_the_chart() -> None:
    torque = 200 * 5252.113122 / 1700 / 1480 * 100
    check = power_check(replace(READ, torque=torque + 1e-9), DATA, DATA.power)
    assert check.of("temperature").most == pytest.approx(560)


def test_a_makers_own_exponents_are_used() -> None:
    data = data_of(power=POWER | {"exponents": {"temperature": 0.9, "power": 0.6}})
    check = power_check(replace(READ, air_c=35.0, temperature=680.0), data, data.power)
    assert check.of("temperature").corrected == pytest.approx(953.15 / 1.06940829**0.9 - 273.15)
    assert check.corrected == pytest.approx(check.power / 1.06940829**0.6)


def test_gearing_tells_the_speed_of_the_shaft_in_which_torque_is_measured() -> None:
    data = data_of(power=POWER | {"gearing": 3.0})
    assert power_kw(70.0, 1700.0, data, data.power) == pytest.approx(3 * power_kw(70.0, 1700.0, DATA, DATA.power))


def test_a_torque_in_its_own_unit_needs_no_full_scale() -> None:
    document = power_document(calibration=[])
    document["channels"][2] = {"name": "torque", "unit": "lbf*ft"}
    data = engine_type_read(document)
    assert torque_nm(1000.0, data) == pytest.approx(1355.8179483)


def test_a_torque_in_percent_of_nothing_has_no_power() -> None:
    data = replace(DATA, indications=())
    with pytest.raises(UnitError, match="they measure different things"):
        torque_nm(70.0, data)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"air_c": 71.0}, "air_c"),
        ({"air_c": -81.0}, "air_c"),
        ({"altitude_ft": 70_000.0}, "altitude_ft"),
        ({"torque": 0.0}, "torque"),
        ({"propeller": -1.0}, "propeller"),
        ({"fuel_flow": 0.0}, "fuel_flow"),
        ({"speed": 0.0}, "speed"),
    ],
)
def test_what_cannot_be_is_refused(changes: dict[str, float], field: str) -> None:
    assert list(readings_faults(replace(READ, **changes))) == [field]
    assert readings_faults(READ) == {}


def test_readings_are_plain() -> None:
    assert PowerReadings(15.0, 0.0, 70.0, 1700.0, 600.0, 92.0, 290.0) == READ

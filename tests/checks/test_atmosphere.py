"""The standard atmosphere, corrections and shaft power against published figures and a reference library.

Tables: 48 altitudes by the constants of ICAO Doc 7488 and ISO 2533, and printed points of the U.S. Standard Atmosphere
1976 (Table I) and of two public tables; N/sqrt(theta) of NASA's C-MAPSS data. Each row names its source.
"""

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from ambiance import Atmosphere

from engines.atmosphere import inlet_ratios, standard_pressure, standard_temperature
from engines.sea_level import (
    corrected_fuel_flow,
    corrected_power,
    corrected_speed,
    corrected_temperature,
    corrected_torque,
    shaft_power,
)
from engines.units import convert

FOOT_M = 0.3048  # exact, NIST SP 811
EARTH_M = 6_356_766.0  # of the standard atmosphere, which turns geometric into geopotential altitude
# ICAO Doc 7488 / ISO 2533: feet, kelvin, pascal.
ISA = [
    (-2000, 292.1124, 108865.726),
    (0, 288.15, 101325.0),
    (1000, 286.1688, 97716.567),
    (5000, 278.244, 84307.265),
    (10000, 268.338, 69681.6),
    (20000, 248.526, 46563.2),
    (30000, 228.714, 30089.6),
    (36000, 216.8268, 22729.281),
    (40000, 216.65, 18753.903),
    (45000, 216.65, 14747.662),
]
# MathWorks, reference page of rrtheta: static temperature [K], Mach, theta with total temperature; ratio of 1.4.
TOTAL = [(273.15, 0.5, 0.9953), (310.9278, 0.5, 1.1330), (373.15, 0.5, 1.3597), (373.15, 2.0, 2.3310)]


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize(("feet", "kelvin", "pascal"), ISA)
def test_the_standard_atmosphere_by_its_table(feet: float, kelvin: float, pascal: float) -> None:
    assert standard_temperature(feet * FOOT_M) == pytest.approx(kelvin, abs=1e-3)
    assert standard_pressure(feet * FOOT_M) == pytest.approx(pascal, rel=2e-5)


def test_every_row_of_the_published_table(shared_checks: Any) -> None:
    rows = rows_of(shared_checks("atmosphere/isa_minus2000_to_45000ft.csv"))
    assert len(rows) == 48
    for row in rows:
        theta, delta = inlet_ratios(float(row["T_C"]), float(row["alt_ft_geopotential"]))
        assert standard_pressure(float(row["alt_m"])) == pytest.approx(float(row["p_Pa"]), rel=1e-6)
        assert (theta, delta) == pytest.approx((float(row["theta"]), float(row["delta"])), abs=2e-6)


def test_the_printed_points(shared_checks: Any) -> None:
    rows = rows_of(shared_checks("atmosphere/published_points.csv"))
    of_the_usa = [row for row in rows if row["source"].startswith("USSA1976") and row["quantity"] in ("T_K", "p_Pa")]
    assert len(of_the_usa) == 12
    for row in of_the_usa:
        geometric = float(row["altitude"])
        altitude = EARTH_M * geometric / (EARTH_M + geometric)
        printed = float(row["published"])
        if row["quantity"] == "T_K":
            assert standard_temperature(altitude) == pytest.approx(printed, abs=float(row["tolerance"]))
        else:
            # The table's pressures are cut off, not rounded.
            assert printed <= standard_pressure(altitude) < printed + 1


@pytest.mark.parametrize("altitude_m", [-4999.0, -300.0, 0.0, 914.4, 3048.0, 10_999.0, 11_001.0, 15_240.0, 20_000.0])
def test_a_reference_library_says_the_same(altitude_m: float) -> None:
    # ambiance 1.3 (ICAO 1993) takes geometric altitude.
    geometric = EARTH_M * altitude_m / (EARTH_M - altitude_m)
    other = Atmosphere(geometric)
    assert standard_temperature(altitude_m) == pytest.approx(float(other.temperature[0]), rel=1e-6)
    assert standard_pressure(altitude_m) == pytest.approx(float(other.pressure[0]), rel=5e-6)


@pytest.mark.parametrize("altitude_m", [-5000.1, 20_000.1])
def test_no_altitude_is_made_up(altitude_m: float) -> None:
    with pytest.raises(ValueError, match="is not between -5000 m and 20000 m"):
        standard_pressure(altitude_m)


@pytest.mark.parametrize(("kelvin", "mach", "theta"), TOTAL)
def test_theta_with_speed(kelvin: float, mach: float, theta: float) -> None:
    assert inlet_ratios(kelvin - 273.15, 0.0, mach)[0] == pytest.approx(theta, abs=5e-4)


def test_delta_with_speed() -> None:
    # NACA Report 1135, table I: at Mach 0.5 p/p0 is 0.8430.
    assert 1 / inlet_ratios(15.0, 0.0, 0.5)[1] == pytest.approx(0.8430, abs=5e-5)


def test_the_corrections_of_a_set_of_cases(shared_checks: Any) -> None:
    # Own arithmetic of the checks but for the speed; no published worked example of the others is known.
    cases = json.loads(shared_checks("atmosphere/engine_corrections_examples.json").read_text())["examples"]
    assert len(cases) == 5
    for case in cases:
        given, theta, delta = case["inputs"], case["theta"], case["delta"]
        assert corrected_speed(given["N_percent"], theta) == pytest.approx(case["N_over_sqrt_theta"], abs=1e-5)
        flow = corrected_fuel_flow(given["fuel_flow_lb_h"], theta, delta)
        assert flow == pytest.approx(case["Wf_over_delta_sqrt_theta"], abs=1e-4)
        temperature = corrected_temperature(given["EGT_C"], theta)
        assert temperature == pytest.approx(case["EGT_K_over_theta_in_C"], abs=1e-4)
        assert corrected_torque(given["torque_lbf_ft"], delta) == pytest.approx(case["Q_over_delta"], abs=1e-4)
        power = corrected_power(given["shaft_power_hp"], theta, delta)
        assert power == pytest.approx(case["SHP_over_delta_sqrt_theta"], abs=1e-4)


def test_fuel_flow_is_not_corrected_as_an_air_flow() -> None:
    # One public repository writes Wf sqrt(theta) / delta; on a hot day that is more than was read, not less.
    assert corrected_fuel_flow(400.0, 1.06940829, 1.0) < 400


def test_corrected_fan_speeds_of_nasas_data(shared_checks: Any) -> None:
    rows = rows_of(shared_checks("atmosphere/cmapss_fd002_corrected_fan_speed.csv"))
    assert len(rows) == 160
    for row in rows:
        theta = float(row["T2_total_degR"]) / 518.67
        own = corrected_speed(float(row["Nf_rpm"]), theta)
        assert own == pytest.approx(float(row["NRf_published_rpm"]), rel=1e-4)


# Torque [lbf·ft], speed [rpm], hp by 33 000 over 2 pi; NIST SP 811 units; no published worked example is known.
POWER = [(1000, 2000, 380.79911), (2000, 1700, 647.358486), (1315, 2200, 550.825912), (368, 6000, 420.402217)]


@pytest.mark.parametrize(("torque", "speed", "hp"), POWER)
def test_shaft_power(torque: float, speed: float, hp: float) -> None:
    power = shaft_power(convert(torque, "lbf*ft", "N*m"), speed)
    assert convert(power, "kW", "hp") == pytest.approx(hp, rel=1e-8)


def test_100_hp_at_the_constant_of_the_handbooks() -> None:
    # 100 lbf·ft at 5252.113 rpm are 100 hp: 33 000 / (2 pi) = 5252.113.
    assert convert(shaft_power(convert(100.0, "lbf*ft", "N*m"), 5252.113122), "kW", "hp") == pytest.approx(100)

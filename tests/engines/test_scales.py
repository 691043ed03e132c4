"""The scales on which a channel may be shown: values as values, differences as differences."""

import numpy as np
import pytest

from engines.calibration import Calibration, Indication
from engines.charts import Channel
from engines.scales import Scale, scale_chosen, scales_of

FULL = Indication("torque", ("psi",), 1480.0, "lbf*ft")
OWN = Calibration("torque", "psi", "percent", ((0, 0), (10, 40), (22, 100)))


def shown(unit: str, indication: Indication | None = None, calibration: Calibration | None = None) -> list[str]:
    return [scale.shown for scale in scales_of(Channel("x", "X", unit), indication, calibration)]


def test_the_scales_that_there_are_and_never_the_channels_own() -> None:
    assert shown("degC") == ["degF"]
    assert shown("degF") == ["degC"]
    assert shown("N*m") == ["lbf*ft"]
    assert shown("rpm") == shown("percent") == shown("percent", Indication("x")) == []
    assert shown("percent", FULL) == ["lbf*ft", "N*m"]
    assert shown("percent", FULL, OWN) == ["lbf*ft", "N*m", "psi"]
    assert shown("percent", Indication("x", (), 700.0, "hp")) == ["hp"]


@pytest.mark.parametrize(("celsius", "fahrenheit"), [(-40, -40), (0, 32), (100, 212), (700, 1292)])
def test_temperatures_by_the_formula_of_nist_sp_811(celsius: float, fahrenheit: float) -> None:
    # NIST SP 811 (2008) B.8: t/°C = (t/°F - 32) / 1.8.
    assert Scale("degC", "degF").value(float(celsius)) == fahrenheit


def test_a_difference_of_20_degrees_celsius_is_one_of_36_fahrenheit() -> None:
    # One public manual prints 68 °F, which is what a reading of 20 °C would be.
    scale = Scale("degC", "degF")
    assert scale.difference(20.0, 680.0) == pytest.approx(36, abs=1e-12)
    assert scale.value(20.0) == 68


def test_torque_by_what_100_percent_is() -> None:
    foot_pounds, newton_metres = scales_of(Channel("torque", "T", "percent"), FULL, None)
    assert foot_pounds.value(50.0) == pytest.approx(740)
    # NIST SP 811 (2008) B.8: 1 lbf·ft is 1.355 818 N·m.
    assert newton_metres.value(100.0) == pytest.approx(1480 * 1.355818, rel=1e-6)
    assert foot_pounds.difference(5.0, 90.0) == pytest.approx(74)


def test_torque_as_the_engines_own_instrument_reads_it() -> None:
    scale = scale_chosen(scales_of(Channel("torque", "T", "percent"), FULL, OWN), "psi")
    assert scale is not None
    assert scale.value(70.0) == pytest.approx(16)
    assert scale.value(np.array([0.0, 40.0])) == pytest.approx([0, 10])
    # From 35 % to 45 %: 8.75 psi to 11 psi, by two pieces of the line.
    assert scale.difference(10.0, 35.0) == pytest.approx(2.25)


def test_a_unit_that_is_not_offered_shows_the_channel_as_it_is_kept() -> None:
    assert scale_chosen(scales_of(Channel("torque", "T", "percent"), None, None), "degF") is None

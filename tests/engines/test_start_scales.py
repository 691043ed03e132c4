"""Starts and checks in the unit of temperature that a person chose: differences convert as differences."""

import pytest

from engines.scales import Scale
from engines.start_checks import Check, CheckList
from engines.start_rules import Envelope, StartRules
from engines.start_scales import also_said, checks_on, course_on, figures_on, resolution_on, rules_on, value_on

SHOWN = Scale("degC", "degF")


def test_figures_of_temperature_are_turned_and_others_stay() -> None:
    figures = {"peak": 655.0, "temperature_slope": 20.0, "to_idle": 31.0, "residual": None, "notes": ["none"]}
    assert figures_on(figures, SHOWN) == {
        "peak": pytest.approx(1211.0), "temperature_slope": pytest.approx(36.0),
        "to_idle": 31.0, "residual": None, "notes": ["none"],
    }  # fmt: skip
    assert figures_on({"temperature": 100.0}, SHOWN) == {"temperature": pytest.approx(212.0)}
    assert figures_on(figures, None) == figures


# NIST SP 811 (2008), B.8: a difference of 20 °C is one of 36 °F; a public manual prints 68.
def test_a_slope_and_a_step_are_differences() -> None:
    assert value_on(20.0, "temperature slope", SHOWN) == pytest.approx(36.0)
    assert value_on(20.0, "temperature", SHOWN) == pytest.approx(68.0)
    assert value_on(20.0, "speed", SHOWN) == value_on(20.0, "temperature", None) == 20.0
    assert resolution_on(1.0, "temperature", SHOWN) == pytest.approx(1.8)
    assert resolution_on(1.0, "speed", SHOWN) == resolution_on(1.0, "temperature", None) == 1.0


def test_a_course_keeps_its_moments() -> None:
    assert course_on((0.0, None, 100.0), SHOWN) == (pytest.approx(32.0), None, pytest.approx(212.0))
    assert course_on((0.0, None), None) == (0.0, None)


def test_what_a_type_asks_is_turned() -> None:
    rules = StartRules(hot_above=700.0, residual_most=150.0, envelope=Envelope(((0.0, 300.0),), ((0.0, 10.0),)))
    shown = rules_on(rules, SHOWN)
    assert (shown.hot_above, shown.residual_most) == (pytest.approx(1292.0), pytest.approx(302.0))
    assert shown.envelope == Envelope(((0.0, pytest.approx(572.0)),), ((0.0, 10.0),))
    assert rules_on(rules, None) is rules
    assert rules_on(StartRules(), SHOWN) == StartRules()


def test_checks_are_asked_in_the_unit_chosen() -> None:
    listed = CheckList(
        (Check("Air", "degC", least=-40.0), Check("Gas", "degC", near="Air", within=20.0), Check("Fuel"))
    )
    air, gas, fuel = checks_on(listed, "degF").checks
    assert (air.unit, air.least, air.most) == ("degF", pytest.approx(-40.0), None)
    assert gas.within == pytest.approx(36.0)
    assert fuel == Check("Fuel")
    assert checks_on(listed, "") is listed


@pytest.mark.parametrize(
    ("value", "unit", "to", "said"),
    [
        (25.0, "degC", "degF", "77 °F"), (25.0, "degF", "degF", ""), (25.0, "V", "degF", ""),
        (None, "degC", "degF", ""), ("so", "", "degF", ""), (25.0, "degC", "", ""),
    ],
)  # fmt: skip
def test_an_answer_is_said_in_the_other_unit_too(value: object, unit: str, to: str, said: str) -> None:
    assert also_said(value, unit, to) == said

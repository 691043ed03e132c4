"""Figures of starts and shutdowns in words."""

from engines.start_rules import StartRules
from engines.start_words import FigureLine, Units, figure_text, shutdown_lines, start_lines
from tests.engines.starts_kit import type_with

UNITS = Units("%", "°C", "V")
RULES = type_with().starts or StartRules()


def lines(**figures: object) -> dict[str, FigureLine]:
    return {line.key: line for line in start_lines(figures, RULES, UNITS)}


def test_a_figure_has_its_unit_and_what_is_not_there_says_so() -> None:
    assert figure_text(655.4, "temperature", UNITS) == "655 °C"
    assert figure_text(14.31, "speed", UNITS) == "14.3 %"
    assert figure_text(9.0, "moment", UNITS) == "9.0 s into the record"
    assert figure_text(2.014, "speed slope", UNITS) == "2.01 %/s"
    assert figure_text(163.04, "temperature slope", UNITS) == "163.0 °C/s"
    assert figure_text(5.72, "supply difference", UNITS) == "5.7 V"
    assert figure_text(-0.04, "length", UNITS) == "0.0 s"
    assert figure_text(None, "length", UNITS) == "not recorded"


def test_what_the_type_asks_for_stands_beside_it() -> None:
    found = lines(peak=770.0, residual=40.0, supply_lowest=15.0, to_idle=None, fuel_to_light_off=5.0)
    assert (found["peak"].asked, found["peak"].is_outside) == ("no more than 760 °C", True)
    assert (found["residual"].asked, found["residual"].is_outside) == ("no more than 150 °C", False)
    assert (found["supply_lowest"].asked, found["supply_lowest"].is_outside) == ("at least 16.0 V", True)
    assert (found["to_idle"].value, found["to_idle"].is_outside) == ("not recorded", False)
    assert not found["fuel_to_light_off"].is_outside  # as long as is asked for is not longer
    assert found["acceleration"].asked == ""


def test_a_type_that_asks_for_nothing_has_nothing_outside() -> None:
    found = start_lines({"peak": 900.0}, StartRules(), UNITS)
    assert not any(line.is_outside or line.asked for line in found)
    assert not any(line.asked for line in shutdown_lines({"cooled_s": 1.0}, StartRules(), UNITS))


def test_bursts_are_listed_or_said_not_to_be() -> None:
    assert lines(limiting=None)["limiting"].value == "not recorded"
    assert lines(limiting=[])["limiting"].value == "none seen"
    assert lines(limiting=[[12.0, 12.5], [14.0, 14.0]])["limiting"].value == "12.0 s, 14.0 s into the record"


def test_the_engines_own_earlier_figures_stand_beside_it() -> None:
    past = [{"peak": value, "light_off_s": 9.0} for value in (640.0, 650.0, 660.0, None)]
    found = {line.key: line for line in start_lines({"peak": 655.0}, RULES, UNITS, past)}
    assert found["peak"].own == "650 °C, half of 3 from 645 to 655 °C"
    assert found["light_off_s"].own == ""  # a moment of one record says nothing of another
    assert found["to_idle"].own == ""


def test_a_shutdown_is_held_against_what_the_type_asks() -> None:
    found = {line.key: line for line in shutdown_lines({"cooled_s": 90.0, "run_down_s": 14.6}, RULES, UNITS)}
    assert (found["cooled_s"].asked, found["cooled_s"].is_outside) == ("at least 120.0 s", True)
    assert (found["run_down_s"].value, found["run_down_s"].is_outside) == ("14.6 s", False)
    assert found["temperature"].value == "not recorded"

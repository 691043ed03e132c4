"""Fuel added up over a run: closed forms, gaps told and not guessed, and held against other figures."""

import numpy as np
import pytest

from engines.fuel_used import FuelUsed, fuel_compared, fuel_used

NAN = float("nan")


def test_a_steady_flow_for_an_hour_is_the_flow() -> None:
    assert fuel_used(np.arange(3601.0), np.full(3601, 300.0), 2.0) == FuelUsed(pytest.approx(300), 3600, 0)


def test_a_flow_that_rises_in_a_straight_line_is_its_middle() -> None:
    # From 0 to 400 in half an hour: 200 in the mean, 100 in half an hour.
    found = fuel_used(np.linspace(0, 1800, 7), np.linspace(0, 400, 7), 300.0)
    assert found is not None
    assert found.amount == pytest.approx(100)


def test_a_gap_is_told_and_not_guessed() -> None:
    times = np.array([0.0, 1, 2, 12, 13])
    found = fuel_used(times, np.array([360.0, 360, 360, 360, 360]), 2.0)
    assert found == FuelUsed(pytest.approx(0.3), 3, 10)


def test_what_is_not_read_is_passed_over_within_the_longest_step() -> None:
    found = fuel_used(np.arange(5.0), np.array([3600.0, NAN, 3600, NAN, NAN]), 2.0)
    assert found == FuelUsed(pytest.approx(2), 2, 2)


@pytest.mark.parametrize("flow", [[], [1.0], [NAN, 1.0, NAN]])
def test_too_little_adds_up_to_nothing_known(flow: list[float]) -> None:
    assert fuel_used(np.arange(float(len(flow))), np.array(flow), 2.0) is None


def test_it_is_held_against_what_is_known() -> None:
    totaliser, nothing = fuel_compared(FuelUsed(306.0, 1, 0), {"totaliser": 300.0, "uplift": None, "nothing": 0.0})
    assert (totaliser.name, totaliser.difference, totaliser.share) == ("totaliser", 6, pytest.approx(0.02))
    assert (nothing.difference, nothing.share, nothing.percent) == (306, None, None)
    assert totaliser.percent == pytest.approx(2)

"""Slopes and shifts at their edges."""

import math

import pytest

from engines.trends import pettitt, theil_sen


def test_a_straight_line_has_its_slope_and_no_width() -> None:
    found = theil_sen([0, 1, 2, 3, 4, 5], [10, 8, 6, 4, 2, 0], 0.9)
    assert found is not None
    assert (found.slope, found.low, found.high, found.at_zero) == (-2, -2, -2, 10)


def test_one_wild_point_does_not_bend_it() -> None:
    found = theil_sen([0, 1, 2, 3, 4, 5, 6], [0, 1, 2, 3, 4, 5, 600], 0.9)
    assert found is not None
    assert found.slope == 1


@pytest.mark.parametrize("points", [0, 1])
def test_too_few_points_have_no_slope(points: int) -> None:
    assert theil_sen([1.0] * points, [2.0] * points, 0.9) is None


def test_points_of_one_moment_have_no_slope() -> None:
    assert theil_sen([1, 1, 1], [1, 2, 3], 0.9) is None


def test_all_the_same_has_a_slope_of_none() -> None:
    found = theil_sen([1, 2, 3, 4], [5, 5, 5, 5], 0.9)
    assert found is not None
    assert (found.slope, found.low, found.high) == (0, 0, 0)


def test_a_step_is_found_where_it_is() -> None:
    # Six above and six below: K is 36, the chance 2 exp(-6 x 1296 / (1728 + 144)).
    found = pettitt([9, 8, 9, 8, 9, 8, 2, 3, 2, 3, 2, 3])
    assert found is not None
    assert (found.before, found.statistic, found.size) == (6, 36, -6)
    assert found.chance == pytest.approx(2 * math.exp(-6 * 1296 / 1872))


@pytest.mark.parametrize("ys", [[], [1.0], [2.0, 2.0, 2.0]])
def test_nothing_shifts_where_nothing_differs(ys: list[float]) -> None:
    assert pettitt(ys) is None


def test_a_chance_is_never_more_than_sure() -> None:
    found = pettitt([1, 2])
    assert found is not None
    assert found.chance == 1

"""Duration curves and rectangles against edges, at their corners."""

import numpy as np
import pytest

from engines.edges import Edge
from inspections.curve import Curve, Rectangle

STEP = Edge(np.array([700.0, 720.0]), np.array([60.0, 5.0]), "step")
LINE = Edge(np.array([700.0, 720.0]), np.array([40.0, 0.0]), "linear")


def curve(*pieces: tuple[float, float, float], is_closed: bool = False) -> Curve:
    """Return the curve of pieces (low, high, seconds) above 700."""
    low, high, seconds = (np.array(column) for column in zip(*pieces, strict=True))
    return Curve(low=low, high=high, seconds=seconds, limit=700.0, is_closed=is_closed)


TRIANGLE = curve((700.0, 710.0, 10.0), (700.0, 710.0, 10.0))  # D(v) = 2 (710 - v)
PLATEAU = curve((710.0, 710.0, 20.0))


@pytest.mark.parametrize(("value", "seconds"), [(700.0, 20.0), (705.0, 10.0), (710.0, 0.0), (711.0, 0.0)])
def test_time_above_a_value(value: float, seconds: float) -> None:
    assert TRIANGLE.beyond(value) == seconds


def test_a_plateau_counts_at_its_value_only_where_the_boundary_does() -> None:
    closed = curve((710.0, 710.0, 20.0), is_closed=True)
    assert (PLATEAU.beyond(710.0), closed.beyond(710.0)) == (0.0, 20.0)
    assert (PLATEAU.beyond(709.9), closed.beyond(710.1)) == (20.0, 0.0)


@pytest.mark.parametrize(
    ("peak", "seconds", "is_closed", "enters"),
    [
        (710.0, 60.0, False, False), (710.0, 60.1, False, True), (710.0, 60.0, True, True), (710.0, 59.9, True, False),
        (720.0, 30.0, False, False), (720.0, 30.0, True, True), (720.1, 30.0, False, True), (700.0, 99.0, False, False),
        (700.0, 99.0, True, True), (710.0, 0.0, True, False),
    ],
)  # fmt: skip
def test_a_rectangle_enters_at_the_edge_by_the_boundary_rule(
    peak: float, seconds: float, is_closed: bool, enters: bool
) -> None:
    assert Rectangle(seconds, peak, is_closed).enters(STEP) is enters


def test_margins_of_a_rectangle() -> None:
    near = Rectangle(30.0, 710.0, is_closed=False)
    assert (near.seconds_short(STEP), near.value_short(STEP)) == (30.0, 10.0)
    assert (near.seconds_short(LINE), near.value_short(LINE)) == (0.0, 0.0)
    short = Rectangle(4.0, 710.0, is_closed=False)
    assert short.value_short(STEP) is None  # 4 s is allowed at any value
    outer = Edge(np.array([750.0]), np.array([1.0]), "step")
    assert short.seconds_short(outer) is None  # 750 was not reached
    assert Rectangle(0.0, 710.0, is_closed=True).value_short(LINE) is None


def test_a_curve_meets_a_slope_between_vertices() -> None:
    # 2 (710 - v) against 2 (720 - v): parallel, 20 s or 10 °C apart everywhere.
    assert not TRIANGLE.enters(LINE)
    assert TRIANGLE.seconds_short(LINE) == pytest.approx(20.0)
    assert TRIANGLE.value_short(LINE) == pytest.approx(10.0)
    # 30 s at 710 against 20 s allowed there; 20 s, to the microsecond, is within, or beyond on a closed boundary.
    assert curve((710.0, 710.0, 30.0)).enters(LINE)
    assert not PLATEAU.enters(LINE)
    assert curve((710.0, 710.0, 20.0), is_closed=True).enters(LINE)
    assert not curve((710.0, 710.0, 19.9), is_closed=True).enters(LINE)


def test_a_curve_that_falls_short_has_no_margin_of_value() -> None:
    assert curve((700.0, 710.0, 2.0)).value_short(STEP) is None
    outer = Edge(np.array([750.0]), np.array([1.0]), "step")
    assert curve((700.0, 710.0, 2.0)).seconds_short(outer) is None
    assert curve((700.0, 710.0, 2.0)).value_short(outer) == pytest.approx(45.0)  # 1 s above 705


def test_a_touch_of_a_value_for_an_instant_stays_within_under_both_rules() -> None:
    at_once = Edge(np.array([710.0]), np.array([0.0]), "step")
    for is_closed in (False, True):
        touching = curve((700.0, 710.0, 10.0), (700.0, 710.0, 10.0), is_closed=is_closed)
        assert not touching.enters(at_once)
    staying = curve((700.0, 710.0, 10.0), (710.0, 710.0, 1.0), is_closed=True)
    assert staying.enters(at_once)


def test_an_excursion_without_time_enters_nothing() -> None:
    nothing = Curve(np.array([]), np.array([]), np.array([]), 700.0, is_closed=True)
    assert (nothing.total, nothing.beyond(700.0), nothing.enters(STEP)) == (0.0, 0.0, False)
    assert (nothing.seconds_short(STEP), nothing.value_short(STEP)) == (None, None)


def test_pieces_that_are_nearly_level_lose_no_time() -> None:
    # A thousand pieces of 0.1 s between 715 and a hair above it: 100 s above 714.
    pieces = [(715.0, 715.0 + 1e-11 * (k + 1), 0.1) for k in range(1000)]
    assert curve(*pieces).enters(Edge(np.array([714.0]), np.array([99.9999]), "linear"))
    assert not curve(*pieces).enters(Edge(np.array([714.0]), np.array([100.0]), "linear"))

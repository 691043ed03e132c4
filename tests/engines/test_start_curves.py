"""The course of a start around light-off, past starts moment by moment, and where a course leaves its envelope."""

from dataclasses import replace

import pytest

from engines.start_curves import GRID, Outside, curve_of, middle_half, origin_of, outside_of, spread_of
from engines.starts import starts_of
from tests.engines.starts_kit import N1, trace_with, type_with


def at(course: tuple[float | None, ...], second: int) -> float | None:
    return course[GRID.index(second)]


def test_a_course_counts_from_light_off() -> None:
    trace, data = trace_with(), type_with()
    (start,) = starts_of(trace, data)
    curve = curve_of(trace, data, start)
    assert origin_of(start) == 8
    assert [at(curve.temperature, second) for second in (-8, 0, 3, 15)] == [40, 140, 655, 550]
    assert [at(curve.speed, second) for second in (-9, 0, 10, 16)] == [None, 14, 60, None]


def test_without_a_light_off_it_counts_from_turning_and_without_a_channel_there_is_nothing() -> None:
    trace, data = trace_with({"n1": N1}), type_with()
    (start,) = starts_of(trace, data)
    assert origin_of(start) == 4
    assert set(curve_of(trace, data, start).temperature) == {None}


def test_the_middle_half_of_some_figures() -> None:
    # By hand, straight lines between the ordered figures: a quarter of the way from 1 to 5 is 2.
    assert middle_half([3, 1, 5, 2, 4]) == (2, 3, 4)
    assert middle_half([1, 2]) == (1.25, 1.5, 1.75)


def test_past_starts_moment_by_moment() -> None:
    blank: list[float | None] = [None] * (len(GRID) - 2)
    spread = spread_of([(1.0, 1.0, *blank), (2.0, None, *blank), (4.0, 2.0, *blank)])
    assert spread.count == 3
    assert (spread.low[0], spread.middle[0], spread.high[0]) == (1.5, 2, 3)
    assert spread.middle[1:] == (None,) * (len(GRID) - 1)  # two values are too few
    assert spread_of([]).middle == (None,) * len(GRID)


@pytest.mark.parametrize(
    ("channel", "corners", "is_highest", "found"),
    [
        # 400 lies above 370 at 1 s, 655 above 603.75 at 3 s, 640 above 631.25 at 5 s, and 620 below 645 at 6 s.
        ("itt", ((0, 150), (2, 590), (10, 700)), True, Outside(1, 5, 51.25)),
        ("itt", ((0, 800), (10, 800)), True, None),
        # 17 lies above 16 at 1 s, 21 below 22 at 2 s, and 60 below 70 at 10 s.
        ("n1", ((0, 10), (10, 70)), False, Outside(2, 10, 10)),
        ("itt", (), True, None),
    ],
)
def test_where_a_course_leaves_its_envelope(
    channel: str, corners: tuple[tuple[float, float], ...], is_highest: bool, found: Outside | None
) -> None:
    trace = trace_with()
    (start,) = starts_of(trace, type_with())
    assert outside_of(trace, channel, start, corners, is_highest=is_highest) == found


def test_what_did_not_light_is_held_against_no_envelope() -> None:
    trace = trace_with()
    (start,) = starts_of(trace, type_with())
    dark = replace(start, light_off_s=None)
    assert outside_of(trace, "itt", dark, ((0, 1), (1, 1)), is_highest=True) is None
    assert outside_of(trace, "none", start, ((0, 1), (1, 1)), is_highest=True) is None

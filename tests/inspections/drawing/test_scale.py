import pytest

from inspections.drawing.scale import Scale, clock_ticks, round_step, value_ticks


def test_a_scale_in_two_parts_bends_once_and_ends_at_its_ends() -> None:
    scale = Scale((0, 650, 780), (200, 150, 50))
    assert [scale.at(v) for v in (-5, 0, 325, 650, 715, 780, 999)] == [200, 200, 175, 150, 100, 50, 50]
    assert (scale.low, scale.high) == (0, 780)


@pytest.mark.parametrize(
    ("span", "count", "step"), [(100, 5, 20), (7, 7, 1), (0.3, 4, 0.1), (1, 6, 0.2), (900, 4, 500)]
)
def test_steps_are_round(span: float, count: int, step: float) -> None:
    assert round_step(span, count) == pytest.approx(step)


@pytest.mark.parametrize(
    ("low", "high", "count", "ticks"),
    [(0, 650, 3, [0, 500]), (98.2, 102, 4, [99, 100, 101, 102]), (-3, 3, 0, [0]), (0, 0.3, 3, [0, 0.1, 0.2, 0.3])],
)
def test_values_are_marked_at_round_ones(low: float, high: float, count: int, ticks: list[float]) -> None:
    assert value_ticks(low, high, count) == ticks


@pytest.mark.parametrize(
    ("high", "count", "ticks"),
    [(45, 3, [0, 15, 30, 45]), (2399, 4, [0, 600, 1200, 1800]), (90_000, 3, [0, 32400, 64800]), (5, 0, [0, 5])],
)
def test_times_are_marked_at_whole_parts_of_a_minute_or_hour(high: float, count: int, ticks: list[float]) -> None:
    assert clock_ticks(0, high, count) == ticks

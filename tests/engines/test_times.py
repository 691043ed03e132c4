"""Times used: sums, and hours as people write them."""

from decimal import Decimal

import pytest

from engines.times import Times, clock_text, hours_text, seconds_of_hours, total


def test_times_add_up() -> None:
    assert total([]) == Times()
    assert total([Times(1, 2, 3, 4), Times(10, 20, 30, 40)]) == Times(11, 22, 33, 44)


@pytest.mark.parametrize(
    ("seconds", "places", "text"),
    [(0, 1, "0.0"), (179, 1, "0.0"), (180, 1, "0.1"), (4320, 1, "1.2"), (4320, 2, "1.20"), (3618, 2, "1.01")],
)
def test_hours_are_rounded_half_up_once(seconds: int, places: int, text: str) -> None:
    assert hours_text(seconds, places) == text


# Rounding each of several runs to a tenth gives another sum than rounding the sum: 11 runs of 53 minutes are
# 11 x 0.9 = 9.9 h one way and 9.7 h the other (583 min = 9.7167 h), so times are kept in seconds.
def test_a_sum_is_rounded_once() -> None:
    assert hours_text(11 * 53 * 60) == "9.7"
    assert sum(Decimal(hours_text(53 * 60)) for _ in range(11)) == Decimal("9.9")


def test_typed_hours_become_seconds() -> None:
    assert seconds_of_hours(Decimal("1.2")) == 4320
    assert seconds_of_hours(Decimal("0.0001")) == 0
    with pytest.raises(ValueError, match="negative"):
        seconds_of_hours(Decimal("-0.1"))


def test_times_add_and_take_off_what_a_type_counts_besides() -> None:
    sum_ = Times(partial_cycles=2, other={"landings": 3}) + Times(partial_cycles=1, other={"landings": 1, "boosts": 2})
    assert sum_ == Times(partial_cycles=3, other={"landings": 4, "boosts": 2})
    assert sum_ - sum_ == Times()


# Checked with the examples of a table of hours and minutes: 9:42 is 9.7 h, 1:15 is 1.25 h.
@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0, "0:00"), (29, "0:00"), (30, "0:01"), (34_920, "9:42"), (4500, "1:15"), (-360, "-0:06"), (360_000, "100:00")],
)
def test_hours_and_minutes(seconds: int, text: str) -> None:
    assert clock_text(seconds) == text

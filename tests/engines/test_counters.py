"""Counters as data, and cycles weighed."""

from fractions import Fraction

import pytest

from engines.counters import EQUIVALENT, Counter, counted, counter_of, equivalent_cycles, weighed, weights_of
from engines.times import Times

HALF = Fraction(1, 2)
USED = Times(run_time_s=1, time_in_service_s=2, starts=3, cycles=100, partial_cycles=40, other={"landings": 6})


@pytest.mark.parametrize(
    ("name", "amount"),
    [
        ("run_time", 1),
        ("time_in_service", 2),
        ("starts", 3),
        ("cycles", 100),
        ("partial_cycles", 40),
        ("landings", 6),
        ("x", 0),
    ],
)
def test_every_counter_is_found_by_its_name(name: str, amount: int) -> None:
    assert counted(USED, name) == weighed(USED, name) == amount


# By hand: 100 starts and 140 flights are 100 full and 40 partial cycles; 100 + 40 x 0.5 = 120.
@pytest.mark.parametrize(
    ("weight", "total"), [(HALF, 120), (Fraction(0), 100), (Fraction(1), 140), (Fraction(1, 8), 105)]
)
def test_equivalent_cycles(weight: Fraction, total: int) -> None:
    assert equivalent_cycles(100, 40, weight) == total == weighed(USED, EQUIVALENT, weight)


def test_a_negative_weight_is_refused() -> None:
    with pytest.raises(ValueError, match="0 or more"):
        equivalent_cycles(1, 1, Fraction(-1))


def test_parameters_are_made_up_of_weighed_counters() -> None:
    assert weights_of("starts", HALF) == {"starts": 1}
    assert weights_of(EQUIVALENT, HALF) == {"cycles": 1, "partial_cycles": HALF}


def test_counters_have_labels() -> None:
    own = Counter("landings", "Landings")
    assert counter_of("cycles").label == "Full cycles"
    assert counter_of("landings", (own,)) is own
    assert counter_of("gone") == Counter("gone", "gone")

"""14 CFR 33.70 read as a rule for corrections: the maker publishes the lives, so a correction raises none."""

from fractions import Fraction

import pytest

from engines.lives import Limit
from engines.restated import raised_words


def limit(amount: int, unit: str = "count", tolerance: int = 0, weight: str = "0") -> Limit:
    return Limit("cycles", amount, unit, tolerance=tolerance, weight=Fraction(weight))


@pytest.mark.parametrize(
    ("was", "stated", "words"),
    [
        (limit(100), limit(100), ""),
        (limit(100), limit(99), ""),
        (limit(100), limit(101), "101 is more than 100"),
        (limit(3600, "s"), limit(7200, "s"), "2.0 h is more than 1.0 h"),
        (limit(12, "months"), limit(12, "months"), ""),
        (limit(12, "months"), limit(336, "days"), ""),  # twelve of the shortest months
        (limit(12, "months"), limit(337, "days"), "337 days is more than 12 months"),
        (limit(372, "days"), limit(12, "months"), ""),  # twelve of the longest
        (limit(371, "days"), limit(12, "months"), "12 months is more than 371 days"),
        (limit(100, tolerance=5), limit(100, tolerance=5), ""),
        (limit(100, tolerance=5), limit(90, tolerance=6), "a tolerance of 6 is more than 5"),
        (limit(100, weight="1/2"), limit(100, weight="3/4"), ""),
        (limit(100, weight="1/2"), limit(100, weight="1/4"), "a partial cycle would count 0.25 in place of 0.5"),
    ],
)
def test_a_correction_allows_no_more_than_before(was: Limit, stated: Limit, words: str) -> None:
    assert raised_words(was, stated) == words

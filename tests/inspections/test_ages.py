"""Ages fall into bands with no gap between them."""

from itertools import pairwise

import pytest

from inspections.ages import BANDS, band_of


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (-1, "0 to 2 days"),
        (0, "0 to 2 days"),
        (2, "0 to 2 days"),
        (3, "3 to 7 days"),
        (7, "3 to 7 days"),
        (8, "8 to 30 days"),
        (30, "8 to 30 days"),
        (31, "over 30 days"),
        (4000, "over 30 days"),
    ],
)
def test_an_age_belongs_to_one_band(days: int, words: str) -> None:
    assert band_of(days).words == words


def test_a_band_begins_where_the_one_before_it_ends() -> None:
    assert all(before.most is not None and after.least == before.most + 1 for before, after in pairwise(BANDS))

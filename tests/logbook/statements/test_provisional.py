"""A release away from base by M.A.801(c): at least 3 years, checked within 7 days (30 for some), told within 7."""

import dataclasses
from datetime import date

import pytest

from logbook.statements.provisional import Provisional, left_words, provisional_ends, provisional_faults

WHOLE = Provisional("Test Owner", "Licensed engineer 12", 3, "Test airworthiness management", "7")
DAY = date(2026, 2, 26)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"authorised_by": " "}, "authorised_by"),
        ({"qualifications": ""}, "qualifications"),
        ({"told": ""}, "told"),
        ({"years": 2}, "years"),
        ({"years": None}, "years"),
        ({"days": "8"}, "days"),
    ],
)
def test_R_801_c_each_of_what_the_owner_keeps_is_asked_for(change: dict[str, object], field: str) -> None:
    assert provisional_faults(WHOLE) == {}
    assert list(provisional_faults(dataclasses.replace(WHOLE, **change))) == [field]  # type: ignore[arg-type]


def test_R_801_c_it_is_checked_within_7_or_30_days_and_told_within_7() -> None:
    """By hand: 26 February 2026 and 7 days is 5 March, and 30 days is 28 March."""
    assert provisional_ends(DAY, "7") == (date(2026, 3, 5), date(2026, 3, 5))
    assert provisional_ends(DAY, "30") == (date(2026, 3, 28), date(2026, 3, 5))
    with pytest.raises(ValueError, match="'14' is none of 7, 30 days"):
        provisional_ends(DAY, "14")


@pytest.mark.parametrize(
    ("today", "words"),
    [(24, "2 days left"), (25, "1 day left"), (26, "today is the last day"), (27, "1 day over"), (28, "2 days over")],
)
def test_what_is_left_is_told_in_whole_days(today: int, words: str) -> None:
    assert left_words(DAY, date(2026, 2, today)) == words

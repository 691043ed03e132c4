"""Minutes to tenths of an hour, against a published table.

Source: the logbook table of Airservices Australia, as quoted in pprune.org, thread 2460713, post 7: the tenth for
each of 0 to 60 minutes. No table issued by another authority was found.
"""

from decimal import Decimal

import pytest

from engines.times import clock_text, hours_text

# Ten minutes to a line, from 0.
TABLE = """
    0.0 0.0 0.0 0.1 0.1 0.1 0.1 0.1 0.1 0.2
    0.2 0.2 0.2 0.2 0.2 0.3 0.3 0.3 0.3 0.3
    0.3 0.4 0.4 0.4 0.4 0.4 0.4 0.5 0.5 0.5
    0.5 0.5 0.5 0.6 0.6 0.6 0.6 0.6 0.6 0.7
    0.7 0.7 0.7 0.7 0.7 0.8 0.8 0.8 0.8 0.8
    0.8 0.9 0.9 0.9 0.9 0.9 0.9 1.0 1.0 1.0
    1.0
"""
PUBLISHED = TABLE.split()


def test_the_table_is_whole() -> None:
    assert len(PUBLISHED) == 61


@pytest.mark.parametrize(("minutes", "tenths"), list(enumerate(PUBLISHED)))
def test_minutes_become_the_published_tenths(minutes: int, tenths: str) -> None:
    assert hours_text(60 * minutes) == tenths


@pytest.mark.parametrize("tenths", range(101))
def test_tenths_come_back_exactly(tenths: int) -> None:
    """A tenth of an hour is 6 minutes: 0.1 h is 0:06, 4.2 h is 4:12."""
    assert hours_text(6 * 60 * tenths) == f"{tenths // 10}.{tenths % 10}"


# Minutes at which the language's own rounding of m/60 to a tenth differs from the table: a float of 0.15 lies below
# 0.15, and a half goes to the even neighbour.
@pytest.mark.parametrize("minutes", [9, 15, 21, 51, 57])
def test_the_languages_own_rounding_would_be_wrong(minutes: int) -> None:
    assert hours_text(60 * minutes) == PUBLISHED[minutes] != str(round(minutes / 60, 1))


# Eight runs of 582 minutes in all, worked by hand: 9:42, which is 9.7 h; tenths of each run would make 9.9 h.
RUNS = [(0, 3), (0, 33), (1, 15), (2, 42), (0, 57), (3, 9), (1, 1), (0, 2)]
TENTHS = ["0.1", "0.6", "1.3", "2.7", "1.0", "3.2", "1.0", "0.0"]


def test_a_sum_is_rounded_and_not_its_runs() -> None:
    seconds = [3600 * hours + 60 * minutes for hours, minutes in RUNS]
    assert [hours_text(run) for run in seconds] == TENTHS
    assert sum(map(Decimal, TENTHS)) == Decimal("9.9")
    assert (hours_text(sum(seconds)), clock_text(sum(seconds))) == ("9.7", "9:42")

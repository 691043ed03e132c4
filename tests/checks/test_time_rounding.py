"""Minutes to tenths of an hour, against a published table.

Source: the logbook table of Airservices Australia, as quoted in pprune.org, thread 2460713, post 7: the tenth for
each of 0 to 60 minutes. No table issued by another authority was found.
"""

import pytest

from engines.times import hours_text

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

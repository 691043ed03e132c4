"""How far a phone's clock is off, in words, and from when on the director is told."""

from datetime import UTC, datetime, timedelta

import pytest

from logbook.outbox.clocks import is_flagged, offset_of, offset_words

NOON = datetime(2026, 5, 4, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("seconds", "words", "flagged"),
    [
        (0, "", False),
        (119, "", False),
        (-119, "", False),
        (120, "The phone's clock was 2 min ahead.", False),
        (-300, "The phone's clock was 5 min behind.", False),
        (599, "The phone's clock was 10 min ahead.", False),
        (600, "The phone's clock was 10 min ahead.", True),
        (-600, "The phone's clock was 10 min behind.", True),
        (93_600, "The phone's clock was 26 h 0 min ahead.", True),
    ],
)
def test_what_is_said_of_a_clock(seconds: int, words: str, flagged: bool) -> None:
    offset = offset_of(NOON + timedelta(seconds=seconds), NOON)
    assert (offset_words(offset), is_flagged(offset)) == (words, flagged)

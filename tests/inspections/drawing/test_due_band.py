"""Ninety days on a line, and the range within them in which something is reached."""

import pytest

from inspections.drawing.due_band import WIDTH, due_band
from inspections.drawing.shapes import Polygon, Rect


def bars(first: int | None, last: int | None) -> list[Rect]:
    return [shape for shape in due_band(first, last, "words").shapes if isinstance(shape, Rect)]


def test_the_bar_runs_from_the_first_day_to_the_last() -> None:
    (bar,) = bars(30, 60)
    assert (bar.x, bar.x + bar.width) == (pytest.approx(4 + 164 / 3, abs=0.1), pytest.approx(4 + 328 / 3, abs=0.1))


@pytest.mark.parametrize(
    ("first", "last", "count", "arrow"),
    [
        (0, 0, 1, False),
        (90, 90, 1, False),
        (91, 120, 0, False),
        (None, None, 0, False),
        (80, None, 1, True),
        (5, 91, 1, True),
    ],
)
def test_what_lies_beyond_is_not_drawn_within(first: int | None, last: int | None, count: int, arrow: bool) -> None:
    picture = due_band(first, last, "words")
    assert len(bars(first, last)) == count
    assert any(isinstance(shape, Polygon) for shape in picture.shapes) == arrow
    assert all(bar.x + bar.width <= WIDTH for bar in bars(first, last))


def test_one_day_is_wide_enough_to_be_seen() -> None:
    assert bars(10, 10)[0].width >= 3


def test_it_says_the_same_in_words() -> None:
    assert due_band(1, 2, "2026-05-05 to 2026-05-06").description == "2026-05-05 to 2026-05-06"

import json
from typing import Any

import pytest

from engines.timing import LONGEST_TEXT, MOST_PRESSES, timed_read, timed_seconds, timed_words

STRETCH: dict[str, Any] = {
    "chart": "ITT, running",
    "began_at": "2026-05-04T07:31:05.250+00:00",
    "ended_at": "2026-05-04T07:31:17.550+00:00",
    "seconds": 12.3,
    "clocks_apart_s": 0.01,
}
MARK = {"name": "light_off", "at": "2026-05-04T07:30:12.000+00:00"}


def sent(**changes: Any) -> str:
    """Return a record as the timer sends it, one stretch of it changed."""
    return json.dumps({"stretches": [STRETCH | changes], "marks": [MARK], "taken_back": 1})


def read(text: str) -> dict[str, Any]:
    """Return a record as read for an engine of two limits."""
    return timed_read(text, ["ITT, running", "Torque"])


def test_a_record_is_read_as_it_was_sent() -> None:
    assert read(sent()) == {"stretches": [STRETCH], "marks": [MARK], "taken_back": 1}
    assert read(sent(clocks_apart_s=None))["stretches"][0]["clocks_apart_s"] is None
    assert read(" ") == {}


def test_seconds_of_a_limit_are_added_up() -> None:
    record = {"stretches": [STRETCH, STRETCH | {"seconds": 0.1}]}
    assert timed_seconds(record, "ITT, running") == 12.4
    assert timed_seconds(record, "Torque") is None
    assert timed_seconds({}, "Torque") is None


def test_a_record_is_said_in_words() -> None:
    record = {"stretches": [STRETCH | {"clocks_apart_s": -3.25}], "marks": [MARK], "taken_back": 2}
    assert timed_words(record) == [
        "ITT, running: timed 12.3 s, pressed at 07:31:05 and 07:31:17.",
        "Light-off pressed at 07:30:12.",
        "The phone's two clocks disagreed by 3.2 s; the longer time was taken.",
        "2 presses taken back.",
    ]
    assert timed_words(record | {"taken_back": 1})[-1] == "1 press taken back."
    assert timed_words({}) == []


@pytest.mark.parametrize(
    "text",
    [
        "{",
        "[]",
        "{}",
        "[" * 5000,
        sent(chart="Oil"),
        sent(seconds=-1),
        sent(seconds=True),
        sent(seconds="12"),
        sent(seconds=float("nan")),
        sent(began_at="now"),
        sent(began_at="2026-05-04T07:31:05"),
        sent(clocks_apart_s="none"),
        json.dumps({"stretches": [], "marks": [{"name": "landing", "at": MARK["at"]}], "taken_back": 0}),
        json.dumps({"stretches": [], "marks": [], "taken_back": -1}),
        json.dumps({"stretches": [], "marks": [], "taken_back": 0.5}),
        json.dumps({"stretches": [], "marks": [MARK] * (MOST_PRESSES + 1), "taken_back": 0}),
        json.dumps({"stretches": [], "marks": [MARK] * LONGEST_TEXT, "taken_back": 0}),
    ],
)
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="What the timer sent can't be read"):
        read(text)

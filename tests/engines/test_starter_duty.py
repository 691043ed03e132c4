"""The starter's duty cycle: read from a type's document, and held against a series of engagements, worked by hand."""

from typing import Any

import pytest

from engines.documents import engine_type_read
from engines.errors import DocumentError
from engines.starter_duty import DutyCycle, duty_of, duty_words
from tests.engines.starts_kit import document_with

TURNS: list[dict[str, Any]] = [
    {"most_s": 40, "rest_s": 60},
    {"most_s": 40, "rest_s": 60},
    {"most_s": 30, "rest_s": 1800},
]


def cycle() -> DutyCycle:
    found = engine_type_read(document_with(None, starter={"duty_cycle": TURNS, "source": "invented"})).starter
    assert found is not None
    return found


def test_a_series_is_held_against_the_turns_in_order() -> None:
    # Let go at 30, engaged at 95 after 65 s; let go at 140 after 45 s, engaged at 190 after 50 s; then 1800 s of rest.
    first, second, third, fourth = duty_of([(0, 30), (95, 140), (190, 215), (2015, 2050)], cycle())
    assert (first.turn, first.rested_s, first.is_kept) == (1, None, True)
    assert (second.turn, second.rested_s, second.needed_s, second.lasted_s, second.is_kept) == (2, 65, 60, 45, False)
    assert (third.turn, third.rested_s, third.most_s, third.is_kept) == (3, 50, 30, False)
    assert (fourth.turn, fourth.rested_s, fourth.is_kept) == (1, None, True)


def test_after_the_last_turn_the_longest_rest_is_needed() -> None:
    found = duty_of([(0, 10), (70, 80), (140, 150), (1000, 1010)], cycle())
    assert [(one.turn, one.needed_s, one.is_kept) for one in found] == [
        (1, None, True), (2, 60, True), (3, 60, True), (1, 1800, False),
    ]  # fmt: skip


def test_it_is_said_in_words() -> None:
    first, second = duty_of([(0, 30), (95, 140)], cycle())
    asks = "and the type asks for"
    assert duty_words(first) == f"Turn 1 of the starter's duty cycle: engaged for 30.0 s, {asks} no more than 40 s."
    assert duty_words(second).endswith(f"It had rested 65 s, {asks} at least 60 s. Not as asked.")


@pytest.mark.parametrize(
    ("starter", "path"),
    [
        ({"duty_cycle": []}, "starter.duty_cycle"),
        ({"duty_cycle": TURNS * 4}, "starter.duty_cycle"),
        ({"duty_cycle": [{"most_s": -1, "rest_s": 60}]}, "starter.duty_cycle[0].most_s"),
        ({"duty_cycle": TURNS, "times": 3}, "starter.times"),
    ],
)
def test_faults_are_named_by_their_path(starter: dict[str, Any], path: str) -> None:
    with pytest.raises(DocumentError) as refused:
        engine_type_read(document_with(None, starter=starter))
    assert list(refused.value.fields) == [path]


def test_a_type_may_state_none() -> None:
    assert engine_type_read(document_with(None)).starter is None

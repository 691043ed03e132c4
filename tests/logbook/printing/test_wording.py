"""Dates, times and blanks in words."""

import datetime
from typing import Any

import pytest

from logbook.printing.wording import (
    completed_of,
    day_text,
    given,
    hours_given,
    kind_text,
    listed,
    moment_text,
    none_or_blank,
    yes_no,
)

EAST = datetime.timezone(datetime.timedelta(hours=5, minutes=30))
WEST = datetime.timezone(-datetime.timedelta(hours=3, minutes=30))


@pytest.mark.parametrize(
    ("value", "text"), [(None, "not recorded"), (" ", "not recorded"), (0, "0"), (" a ", "a"), (False, "False")]
)
def test_only_a_blank_is_not_recorded(value: Any, text: str) -> None:
    assert given(value) == text


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("ground_run", "Ground run"),
        ("Ground run", "Ground run"),
        ("hand_over", "hand over"),
        ("", "not recorded"),
    ],
)
def test_kinds_have_words(kind: str, text: str) -> None:
    assert kind_text(kind) == text


@pytest.mark.parametrize(("answer", "text"), [(True, "yes"), (False, "no"), (None, "not recorded")])
def test_no_answer_is_not_no(answer: bool | None, text: str) -> None:
    assert yes_no(answer) == text


@pytest.mark.parametrize(
    ("seconds", "places", "text"), [(None, 1, "not recorded"), (0, 1, "0.0 h"), (4320, 2, "1.20 h")]
)
def test_hours_carry_their_unit(seconds: int | None, places: int, text: str) -> None:
    assert hours_given(seconds, places) == text


@pytest.mark.parametrize(
    ("moment", "text"),
    [
        (datetime.datetime(2026, 5, 4, 7, 30, tzinfo=datetime.UTC), "2026-05-04 07:30 UTC"),
        (datetime.datetime(2026, 5, 4, 7, 30, tzinfo=EAST), "2026-05-04 07:30 UTC+05:30"),
        (datetime.datetime(2026, 5, 4, 7, 30, tzinfo=WEST), "2026-05-04 07:30 UTC-03:30"),
        ("2026-05-04T07:30:59Z", "2026-05-04 07:30 UTC"),
        ("2026-05-04T07:30:59", "2026-05-04 07:30 (UTC offset not recorded)"),
        ("some time in May", "some time in May"),
        ("", "not recorded"),
        (None, "not recorded"),
    ],
)
def test_a_moment_carries_its_offset(moment: datetime.datetime | str | None, text: str) -> None:
    assert moment_text(moment) == text


@pytest.mark.parametrize(
    ("day", "text"),
    [
        (datetime.date(2026, 5, 4), "2026-05-04"),
        ("2026-05-04", "2026-05-04"),
        ("2026-05-04T23:59:00+02:00", "2026-05-04"),
        ("from the beginning", "from the beginning"),
        (None, "not recorded"),
    ],
)
def test_a_day_is_written_year_first(day: datetime.date | str | None, text: str) -> None:
    assert day_text(day) == text


@pytest.mark.parametrize(
    ("body", "text"),
    [
        ({"run": {"started_at": "2026-05-04T07:30:00Z"}}, "2026-05-04"),
        ({"run": {"started_at": "2026-05-04"}, "release": {"completed_on": "2026-05-05"}}, "2026-05-05"),
        ({"run": {"started_at": "2026-05-04"}, "release": {"completed_on": None, "label": "a"}}, "not recorded"),
        ({"run": None}, "not recorded"),
    ],
)
def test_the_day_of_completion_is_the_works_where_there_was_work(body: dict[str, Any], text: str) -> None:
    assert completed_of(body) == text


def test_lists_in_words() -> None:
    assert listed(["OAT", "ALT"]) == "OAT, ALT"
    assert listed([]) == listed(None) == "none"
    assert none_or_blank([]) == "none"
    assert none_or_blank(None) == "not recorded"

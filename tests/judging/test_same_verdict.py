"""The phone's verdict, the server's, and the twin's are one, on random types, traces and readings."""

from functools import cache
from typing import Any

import pytest
from playwright.sync_api import Page

from tests import twin
from tests.judging.cases import (
    JUDGE,
    JUDGE_READINGS,
    Judged,
    drawn,
    in_fahrenheit,
    server_says,
    server_says_of_readings,
)
from tests.judging.page import scripts_served, told
from tests.twin.comparing import differences

CASES = 1500


@cache
def cases() -> list[Judged]:
    """Return the cases of every test here."""
    return drawn(CASES)


@pytest.fixture
def phone(page: Page) -> Any:
    """Return a page that has the site's scripts and nothing else."""
    with scripts_served() as address:
        page.goto(address)
        yield page


def differing(phone_says: list[Any], expected: list[Any]) -> dict[int, list[str]]:
    """Return by case where two verdicts differ."""
    pairs = enumerate(zip(phone_says, expected, strict=True))
    return {k: found for k, (ours, other) in pairs if (found := differences(ours, other))}


def test_the_phone_agrees_with_the_server_and_with_the_twin(phone: Page) -> None:
    plain = [case.plain() for case in cases()]
    verdicts = told(phone, JUDGE, plain)
    assert len(verdicts) >= CASES
    assert differing(verdicts, [server_says(case) for case in plain]) == {}
    exact = [twin.judge(one.case.document, one.case.times, one.case.columns) for one in cases()]
    # Notes are told in each one's own words; only their number is compared.
    noted = [(len(ours.pop("notes")), len(other.pop("notes"))) for ours, other in zip(verdicts, exact, strict=True)]
    assert [pair for pair in noted if pair[0] != pair[1]] == []
    assert differing(verdicts, exact) == {}


def test_the_phone_agrees_where_charts_have_another_unit(phone: Page) -> None:
    plain = [one.plain(in_fahrenheit(one.case.document)) for one in cases()]
    assert differing(told(phone, JUDGE, plain), [server_says(case) for case in plain]) == {}


def test_the_phone_agrees_on_what_was_typed(phone: Page) -> None:
    plain = [one.plain(in_fahrenheit(one.case.document)) for one in cases()]
    verdicts = told(phone, JUDGE_READINGS, plain)
    assert sum(map(len, verdicts)) >= CASES
    assert differing(verdicts, [server_says_of_readings(case) for case in plain]) == {}

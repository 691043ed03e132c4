"""The phone's verdict, the server's, and the exact twin's are one, on random types, traces and readings."""

import pytest
from playwright.sync_api import Page

from tests.judging.agreeing import Told, differing, verdicts_told
from tests.judging.cases import drawn, server_says
from tests.judging.long_trace import APART, CHANNELS, JUDGE, ROWS, SHOW, long_run
from tests.judging.page import scripts_served, told
from tests.twin.comparing import differences

CASES = 1500  # as many as are wanted: python -m tests.judging 10000


def test_the_phone_agrees_with_the_server_and_with_the_twin(page: Page) -> None:
    cases = drawn(CASES)
    with scripts_served() as address:
        page.goto(address)
        compared = verdicts_told(page, cases)
    assert len(cases) >= CASES
    assert {what: differing(pairs) for what, pairs in compared.items()} == {what: {} for what in Told}
    excursions = sum(len(verdict["excursions"]) for verdict, _ in compared[Told.SERVER])
    typed = sum(len(verdict) for verdict, _ in compared[Told.READINGS])
    assert min(excursions, typed) >= CASES


def test_excursions_of_thousands_of_samples_agree_with_the_server(page: Page) -> None:
    with scripts_served() as address:
        page.goto(address)
        shown = told(page, SHOW, long_run(wave=0.02, rows=6000, rate=1))
    found = shown["verdict"]["excursions"]
    assert max(excursion["seconds_above"] for excursion in found) >= 60
    assert any(excursion["margin"] for excursion in found)
    assert differences(shown["verdict"], server_says(shown)) == []


@pytest.mark.parametrize("wave", [0.02, 1.0])
def test_a_long_trace_is_judged_apart_from_the_page(page: Page, wave: float) -> None:
    with scripts_served() as address:
        page.goto(address)
        here = told(page, JUDGE, long_run(wave))
        apart = told(page, APART, long_run(wave))
    assert (here["samples"], len({one["channel"] for one in here["unobserved"]})) == (ROWS, CHANNELS)
    assert len(here["excursions"]) >= 100
    assert apart["verdict"] == here
    # The arrays went over whole, and a refusal comes back as one.
    assert apart["left"] == 0
    assert apart["refused"] == {"code": "trace_unusable", "message": "Time runs backwards at sample 3: 1 s after 2 s."}
    assert apart["ended"] == "The judging was ended."

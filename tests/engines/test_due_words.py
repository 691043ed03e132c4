"""What is left, in words that carry their unit and their assumption."""

from datetime import date

import pytest

from engines.counters import Counter, counter_of
from engines.due import Remaining
from engines.due_words import (
    amount_words,
    assumption_words,
    due_at_words,
    interval_words,
    left_words,
    span_words,
    use_words,
)
from engines.forecast import Span, Use, stated_use
from engines.tasks import Interval

TODAY = date(2026, 5, 4)
STARTS, SERVICE = counter_of("starts"), counter_of("time_in_service")


@pytest.mark.parametrize(
    ("counter", "amount", "words"),
    [
        (SERVICE, 45000, "12.5 h of time in service"),
        (STARTS, 40, "40 starts"),
        (STARTS, 2.25, "2.3 starts"),
        (Counter("landings", "Landings"), 7, "7 landings"),
    ],
)
def test_an_amount_has_its_unit(counter: Counter, amount: float, words: str) -> None:
    assert amount_words(counter, amount) == words


@pytest.mark.parametrize(
    ("part", "left", "due"),
    [
        (Remaining("starts", 450, 50), "50 starts left", "450 starts"),
        (Remaining("starts", 450, -1), "1 start over", "450 starts"),
        (Remaining("run_time", 3600, 0), "0.0 h of run time left", "1.0 h of run time"),
        (Remaining("days", TODAY.toordinal(), 1), "1 day left", "2026-05-04"),
        (Remaining("days", TODAY.toordinal(), -3), "3 days over", "2026-05-04"),
    ],
)
def test_what_is_left_and_where_it_is_due(part: Remaining, left: str, due: str) -> None:
    assert (left_words(part), due_at_words(part)) == (left, due)


@pytest.mark.parametrize(
    ("interval", "words"),
    [
        (None, "none"),
        (Interval(days=1), "1 day"),
        (Interval(months=6), "6 months"),
        (
            Interval((("run_time", 360000), ("starts", 50)), calendar_months=12),
            "100.0 h of run time, 50 starts or 12 calendar months, whichever comes first",
        ),
    ],
)
def test_an_interval_says_that_the_first_counts(interval: Interval | None, words: str) -> None:
    assert interval_words(interval) == words


@pytest.mark.parametrize(
    ("span", "words"),
    [
        (None, "no day can be foretold"),
        (Span(3, 30), "2026-05-07 to 2026-06-03"),
        (Span(3, 3), "2026-05-07"),
        (Span(3, None), "not before 2026-05-07; no last day can be foretold"),
    ],
)
def test_a_forecast_is_a_range(span: Span | None, words: str) -> None:
    assert span_words(span, TODAY) == words


@pytest.mark.parametrize(
    ("counter", "use", "words"),
    [
        (STARTS, None, "starts: too little recorded to foretell from"),
        (STARTS, stated_use(5, 5), "5 starts in 30 days, as stated"),
        (SERVICE, stated_use(36000, 72000), "10 to 20 h of time in service in 30 days, as stated"),
        (
            SERVICE,
            Use(45000.0, 3600.0, 12),
            "12.5 h of time in service a week over the last 12 weeks (standard deviation 1)",
        ),
    ],
)
def test_a_use_says_where_it_comes_from(counter: Counter, use: Use | None, words: str) -> None:
    assert use_words(counter, use) == words


def test_assumptions_are_said_of_every_counter_that_counts() -> None:
    uses = {"starts": stated_use(5, 5), "cycles": None}
    assert assumption_words(["starts", "days", "cycles"], uses) == (
        "At 5 starts in 30 days, as stated; full cycles: too little recorded to foretell from"
    )
    observed = {"starts": Use(5.0, 1.0, 9)}
    assert assumption_words(["starts"], observed) == (
        "At 5 starts a week over the last 9 weeks (standard deviation 1). A range to hold in 95% of cases"
    )
    assert assumption_words(["days"], uses) == "By the calendar alone"

"""Limits of parts: used, left, and the arithmetic behind it."""

from datetime import UTC, date, datetime
from fractions import Fraction

import pytest

from engines.counters import CALENDAR, EQUIVALENT
from engines.lives import (
    OVERRUN,
    REACHED,
    TOLERATED,
    UNKNOWN,
    WITHIN,
    Done,
    Factor,
    History,
    Limit,
    Stay,
    amount_text,
    arithmetic_of,
    day_after,
    gains_while_off,
    governing,
    shown_unit,
    status_of,
    stays_until,
)
from engines.times import Times

TODAY = date(2026, 6, 1)
MARCH, APRIL, MAY, JUNE, JULY, AUGUST = (datetime(2026, month, 1, tzinfo=UTC) for month in range(3, 9))
HOUR = 3600
FIRST = Stay(
    "A", MARCH, APRIL, Times(run_time_s=HOUR, cycles=10), Times(run_time_s=4 * HOUR, cycles=30, partial_cycles=8)
)
SECOND = Stay("B", MAY, None, Times(cycles=5), Times(run_time_s=2 * HOUR, cycles=6, partial_cycles=2))
PART = History(
    brought=Times(run_time_s=100 * HOUR, cycles=50, partial_cycles=4), stays=(FIRST, SECOND), made_on=date(2020, 2, 29)
)
EQUIVALENTS = Limit(EQUIVALENT, 1000, "count", weight=Fraction(1, 2), source="Invented", revision="3")


def test_a_part_has_used_what_it_brought_and_each_stay() -> None:
    assert PART.used == Times(run_time_s=105 * HOUR, cycles=71, partial_cycles=14)


def test_the_arithmetic_names_every_figure() -> None:
    """By hand: 50 + 4/2 = 52; 20 + 8/2 = 24 makes 76; 1 + 2/2 = 2 makes 78."""
    found = arithmetic_of(EQUIVALENTS, PART)
    assert (found.opening, found.total) == (52, 78)
    assert [(line.stay.where, line.amount, line.sum) for line in found.lines] == [("A", 24, 76), ("B", 2, 78)]
    assert found.lines[0].factors == (
        Factor("cycles", 10, 30, Fraction(1), Fraction(20)),
        Factor("partial_cycles", 0, 8, Fraction(1, 2), Fraction(4)),
    )


@pytest.mark.parametrize(
    ("amount", "tolerance", "left", "state"),
    [(106, 0, 1, WITHIN), (105, 0, 0, REACHED), (104, 0, -1, OVERRUN), (104, 1, -1, TOLERATED), (103, 1, -2, OVERRUN)],
)
def test_an_overrun_is_negative(amount: int, tolerance: int, left: int, state: str) -> None:
    found = status_of(Limit("run_time", amount * HOUR, "s", tolerance=tolerance * HOUR), PART, TODAY)
    assert (found.used, found.remaining, found.state) == (105 * HOUR, left * HOUR, state)


@pytest.mark.parametrize(
    ("done", "used"),
    [
        ({}, 71),  # never done: counted from new
        ({"k": Done(APRIL)}, 1),  # what ran from then on
        ({"k": Done(MARCH)}, 21),
        ({"k": Done(APRIL, life=Times(cycles=60))}, 11),  # the part's life then was stated
        ({"other": Done(APRIL)}, 71),
    ],
)
def test_an_interval_counts_from_the_last_time_it_was_done(done: dict[str, Done], used: int) -> None:
    history = History(PART.brought, PART.stays, PART.made_on, done)
    interval = Limit("cycles", 100, "count", "overhaul", key="k")
    assert arithmetic_of(interval, history).total == used == status_of(interval, history, TODAY).used
    assert arithmetic_of(Limit("cycles", 100, "count", "life", key="k"), history).total == 71


@pytest.mark.parametrize(
    ("limit", "due", "left", "state"),
    [
        (Limit(CALENDAR, 84, "months"), date(2027, 2, 28), 272, WITHIN),
        (
            Limit(
                CALENDAR,
                72,
                "months",
                tolerance=4,
            ),
            date(2026, 2, 28),
            -93,
            TOLERATED,
        ),
        (Limit(CALENDAR, 10, "days"), date(2020, 3, 10), -2274, OVERRUN),
        (Limit(CALENDAR, 61, "days", "inspection", key="k"), date(2026, 6, 1), 0, REACHED),
    ],
)
def test_calendar_limits_are_told_by_the_day(limit: Limit, due: date, left: int, state: str) -> None:
    """A day that a month lacks is its last; 92 days lie from 28 February to 31 May 2026."""
    history = History(made_on=PART.made_on, done={"k": Done(APRIL)})
    found = status_of(limit, history, TODAY)
    assert (found.due_on, found.remaining, found.state) == (due, left, state)


def test_an_engine_that_gains_time_while_a_part_is_off_is_found() -> None:
    """The second stay begins at other counters than the first ended at; the third at the same, the last elsewhere."""
    first = Stay("A", MARCH, APRIL, Times(), Times(cycles=1))
    second = Stay("A", MAY, JUNE, Times(cycles=2), Times(cycles=3))
    third = Stay("A", JULY, AUGUST, Times(cycles=3), Times(cycles=3))
    history = History(stays=(first, second, third, Stay("B", AUGUST, None, Times(), Times(cycles=4))))
    assert gains_while_off(history, [APRIL, JUNE, AUGUST]) == [APRIL]
    assert gains_while_off(history, [JUNE]) == []


def test_a_history_as_it_stood_is_cut_where_the_counters_stood() -> None:
    """By hand: one stay had ended, one was going on with 2 of its 5 cycles, and one was to come."""
    first = Stay("A", MARCH, APRIL, Times(), Times(cycles=1))
    second = Stay("B", MAY, JULY, Times(cycles=10), Times(cycles=15))
    third = Stay("B", JULY, None, Times(cycles=15), Times(cycles=20))
    then = stays_until((first, second, third), JUNE, Times(cycles=12))
    assert then == (first, Stay("B", MAY, None, Times(cycles=10), Times(cycles=12)))
    assert stays_until((first, second), APRIL, Times()) == (first,)


def test_what_is_not_known_comes_first() -> None:
    unknown = status_of(Limit(CALENDAR, 12, "months"), History(), TODAY)
    assert (unknown.state, unknown.used, unknown.remaining) == (UNKNOWN, None, None)
    worse = status_of(Limit("cycles", 50, "count"), PART, TODAY)
    fine = status_of(EQUIVALENTS, PART, TODAY)
    assert governing([fine, worse, unknown]) is unknown
    assert governing([fine, worse]) is worse
    assert governing([]) is None


@pytest.mark.parametrize(
    ("day", "amount", "unit", "after"),
    [
        (date(2026, 1, 31), 1, "months", date(2026, 2, 28)),
        (date(2024, 1, 31), 1, "months", date(2024, 2, 29)),
        (date(2026, 12, 5), 1, "months", date(2027, 1, 5)),
        (date(2026, 1, 31), 12, "months", date(2027, 1, 31)),
        (date(2026, 1, 31), 30, "days", date(2026, 3, 2)),
        (date(2026, 1, 31), 10**8, "months", date.max),
        (date(2026, 1, 31), 10**8, "days", date.max),
    ],
)
def test_days_after(day: date, amount: int, unit: str, after: date) -> None:
    assert day_after(day, amount, unit) == after


@pytest.mark.parametrize(
    ("amount", "unit", "text"),
    [
        (4320, "s", "1.2 h"),
        (-360, "s", "-0.1 h"),
        (Fraction(241, 2), "count", "120.5"),
        (Fraction(1, 3), "count", "0.3"),
        (Fraction(1, 20), "count", "0.1"),
        (Fraction(120), "count", "120"),
        (1, "days", "1 day"),
        (-1, "days", "-1 day"),
        (60, "months", "60 months"),
    ],
)
def test_amounts_are_rounded_once(amount: Fraction | int, unit: str, text: str) -> None:
    assert amount_text(amount, unit) == text


def test_months_are_used_in_days() -> None:
    assert shown_unit(Limit(CALENDAR, 1, "months")) == "days"
    assert shown_unit(EQUIVALENTS) == "count"

"""When tasks are due: by whichever parameter comes first, with days counted as the calendar has them."""

from datetime import date

import pytest

from engines.due import (
    CLOSED,
    NOT_KNOWN,
    REACHED,
    RUNNING,
    DuePoint,
    Recorded,
    Remaining,
    day_after,
    due_point,
    is_passed,
    left_of,
    months_later,
    state_of,
)
from engines.tasks import Interval, TaskData

H = 3600
DAY = date(2026, 5, 4)
BOTH = Interval((("time_in_service", 100 * H), ("starts", 50)), months=6)


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        # Dodds v Walker [1981] 1 WLR 1027: the corresponding date, four months on.
        (date(1978, 9, 30), 4, date(1979, 1, 30)),
        # PostgreSQL documentation, date/time operators: timestamp '2001-01-31' + interval '1 month' is 2001-02-28.
        (date(2001, 1, 31), 1, date(2001, 2, 28)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 12, 31), 2, date(2027, 2, 28)),
        (date(2026, 5, 4), 0, date(2026, 5, 4)),
        (date(2026, 5, 4), 8, date(2027, 1, 4)),
    ],
)
def test_a_month_ends_on_its_corresponding_date_or_its_last(day: date, months: int, later: date) -> None:
    assert months_later(day, months) == later


def test_no_month_lies_beyond_the_calendar() -> None:
    with pytest.raises(ValueError, match="9999"):
        months_later(date(9999, 6, 1), 7)


@pytest.mark.parametrize(
    ("interval", "end"),
    [
        (Interval(days=30), date(2026, 6, 3)),
        (Interval(months=1), date(2026, 6, 4)),
        # 14 CFR 91.409(a): inspected in January, good to the end of the twelfth calendar month after.
        (Interval(calendar_months=12), date(2027, 5, 31)),
        (Interval(days=30, months=1, calendar_months=1), date(2026, 6, 3)),
        (Interval((("starts", 5),)), None),
    ],
)
def test_a_length_of_time_ends_on_its_first_day(interval: Interval, end: date | None) -> None:
    assert day_after(DAY, interval) == end


def task(**changes: object) -> TaskData:
    given = {"name": "Look", "kind": "inspection", "mandatory": True, "initial": BOTH, "repeat": BOTH}
    return TaskData(**(given | changes))


DONE = Recorded("done", DAY, {"time_in_service": 1000 * H, "starts": 400})


def test_it_is_counted_from_when_it_was_last_done() -> None:
    point = due_point(task(), DONE)
    assert point == DuePoint(
        (("time_in_service", 1100 * H), ("starts", 450)),
        date(2026, 11, 4),
        True,
        "last done 2026-05-04",
        (("time_in_service", 100 * H), ("starts", 50), ("days", 184)),
    )


def test_an_initial_threshold_counts_since_new_and_its_day_is_not_known() -> None:
    point = due_point(task(), None)
    assert (point.at, point.on, point.is_day_known) == ((("time_in_service", 100 * H), ("starts", 50)), None, False)


def test_or_since_the_task_began_to_apply() -> None:
    begun = Recorded("begun", DAY, {"starts": 7})
    point = due_point(task(counts_from="begun"), None, begun)
    assert (point.at[1], point.on) == (("starts", 57), date(2026, 11, 4))
    assert due_point(task(), None, begun).at[1] == ("starts", 50)


def test_without_an_initial_threshold_the_interval_stands_for_it() -> None:
    assert due_point(task(initial=None), None).at[1] == ("starts", 50)


@pytest.mark.parametrize("outcome", ["terminated", "not_applicable"])
def test_what_was_ended_is_closed(outcome: str) -> None:
    assert due_point(task(), Recorded(outcome, DAY, {})) is None


def test_what_is_done_once_is_closed_when_done() -> None:
    assert due_point(task(repeat=None), DONE) is None


def test_what_has_no_interval_at_all_is_closed() -> None:
    assert due_point(task(initial=None, repeat=None), None) is None


def test_an_extension_adds_what_its_source_grants_once() -> None:
    granted = task(extension=Interval((("time_in_service", 10 * H),), days=5))
    extended = Recorded("done", DAY, DONE.used, is_extended=True)
    point = due_point(granted, extended)
    assert (point.at, point.on) == (
        (("time_in_service", 1110 * H), ("starts", 450)),
        date(2026, 11, 9),
    )
    assert point.basis == "last done 2026-05-04, extended once"


def test_an_extension_of_hours_alone_moves_no_day() -> None:
    granted = task(extension=Interval((("starts", 3),)))
    point = due_point(granted, Recorded("done", DAY, {}, is_extended=True))
    assert (point.at[1], point.on) == (("starts", 53), date(2026, 11, 4))


def test_nothing_is_extended_that_the_source_does_not_grant() -> None:
    assert due_point(task(), Recorded("done", DAY, {}, is_extended=True)) == due_point(
        task(), Recorded("done", DAY, {})
    )


IDLE = {"kind": "preservation", "initial": Interval(days=28), "repeat": Interval(days=90)}


@pytest.mark.parametrize(
    ("last", "last_run", "due"),
    [
        (None, date(2026, 5, 1), date(2026, 5, 29)),
        (Recorded("done", DAY, {}), date(2026, 5, 1), date(2026, 8, 2)),
        (Recorded("done", DAY, {}), None, date(2026, 8, 2)),
        (Recorded("done", DAY, {}), date(2026, 5, 10), date(2026, 6, 7)),
    ],
)
def test_preservation_counts_from_the_last_run_or_the_last_preservation(
    last: Recorded | None, last_run: date | None, due: date
) -> None:
    assert due_point(task(**IDLE), last, last_run=last_run).on == due


def test_an_engine_that_never_ran_is_not_to_be_preserved() -> None:
    assert due_point(task(**IDLE), None) is None


def test_what_is_left_is_said_of_each_parameter() -> None:
    point = due_point(task(), DONE)
    used = {"time_in_service": 1099 * H, "starts": 460}
    left = left_of(point, used, date(2026, 11, 1))
    assert left == (
        Remaining("time_in_service", 1100 * H, H, 100 * H),
        Remaining("starts", 450, -10, 50),
        Remaining("days", date(2026, 11, 4).toordinal(), 3, 184),
    )
    assert [round(part.share, 3) for part in left] == [0.01, -0.2, 0.016]
    assert Remaining("days", 5, 5).share == 0


def test_without_a_day_no_days_are_left() -> None:
    assert left_of(DuePoint((("starts", 5),)), {}, DAY) == (Remaining("starts", 5, 5),)


@pytest.mark.parametrize(
    ("counter", "left", "passed"),
    [
        ("starts", 1, False),
        ("starts", 0, True),
        ("starts", -1, True),
        ("days", 1, False),
        ("days", 0, False),
        ("days", -1, True),
    ],
)
def test_a_counter_is_passed_when_nothing_is_left_and_a_day_on_the_next(counter: str, left: int, passed: bool) -> None:
    assert is_passed(Remaining(counter, 0, left)) == passed


@pytest.mark.parametrize(
    ("point", "left", "state"),
    [
        (None, (), CLOSED),
        (DuePoint(), (Remaining("starts", 5, 0),), REACHED),
        (DuePoint(is_day_known=False), (Remaining("starts", 5, 0),), REACHED),
        (DuePoint(is_day_known=False), (Remaining("starts", 5, 1),), NOT_KNOWN),
        (DuePoint(), (Remaining("starts", 5, 1), Remaining("days", 5, 0)), RUNNING),
    ],
)
def test_a_day_that_is_not_known_is_no_good_news(
    point: DuePoint | None, left: tuple[Remaining, ...], state: str
) -> None:
    assert state_of(point, left) == state

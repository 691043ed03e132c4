"""By when a release has to be in the record: M.A.305(a), at most 30 days after the maintenance was completed."""

from datetime import date, timedelta

import pytest

from logbook.statements.elements import EASA, US
from logbook.statements.record_age import record_by, record_late, record_words

DONE = date(2026, 5, 4)
LAST = date(2026, 6, 3)
DAY = timedelta(days=1)


def test_R_305_a_thirty_days_from_completion_are_given() -> None:
    assert record_by(DONE, EASA) == LAST
    assert record_by(DONE, US) is None


@pytest.mark.parametrize(
    ("today", "left"),
    [(DONE, "30 days left"), (LAST - DAY, "1 day left"), (LAST, "today is the last day"), (LAST + DAY, "1 day over")],
)
def test_R_305_a_the_clock_says_what_is_left_or_how_far_it_is_over(today: date, left: str) -> None:
    said = f"Completed on 2026-05-04: its release has to be in the record by 2026-06-03, {left} (M.A.305(a))."
    assert record_words(DONE, EASA, today) == said


@pytest.mark.parametrize(("completed_on", "ruleset"), [(None, EASA), (DONE, US), (DONE, "")])
def test_R_305_a_no_clock_runs_without_a_day_or_a_rule(completed_on: date | None, ruleset: str) -> None:
    assert record_words(completed_on, ruleset, LAST) == ""


def test_R_305_a_what_came_too_late_is_said_to_be() -> None:
    assert record_late(DONE, EASA, LAST) == record_late(DONE, US, LAST + DAY) == record_late(DONE, "", LAST + DAY) == ""
    assert record_late(DONE, EASA, LAST + 2 * DAY) == (
        "It had to be in the record by 2026-06-03: 2 days over (M.A.305(a))."
    )

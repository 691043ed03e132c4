"""Starts of which no trace was recorded: the timer's marks and a typed peak."""

from datetime import UTC, datetime
from typing import Any

from engines.start_rules import StartRules
from engines.starts_typed import TIMED, WRITTEN, typed_starts

BEGAN = datetime(2026, 11, 3, 8, 0, tzinfo=UTC)


def mark(name: str, second: int) -> dict[str, Any]:
    return {"name": name, "at": f"2026-11-03T08:00:{second:02}+00:00"}


def test_the_timers_marks_give_lengths_from_the_press_of_the_starter() -> None:
    marks = [mark("starter", 5), mark("light_off", 14), mark("idle", 36)]
    (start,) = typed_starts(marks, BEGAN, [655.0], StartRules(hot_above=760))
    assert (start.starter_s, start.to_light_off, start.to_idle, start.peak) == (5, 9, 31, 655)
    assert (start.outcome, start.also, start.notes) == ("started", (), (TIMED,))
    assert (start.speed_at_light_off, start.residual, start.supply_dip) == (None, None, None)


def test_a_peak_above_the_types_value_is_a_hot_start() -> None:
    (start,) = typed_starts([mark("starter", 5), mark("idle", 36)], BEGAN, [770.0], StartRules(hot_above=760))
    assert (start.outcome, start.also, start.to_light_off) == ("hot", ("started",), None)


def test_a_peak_alone_tells_no_times() -> None:
    (start,) = typed_starts([], BEGAN, [770.0], StartRules(hot_above=760))
    assert (start.outcome, start.also, start.peak, start.to_idle, start.notes) == ("hot", (), 770, None, (WRITTEN,))


def test_a_peak_is_given_to_neither_of_two_starts() -> None:
    marks = [mark("starter", 5), mark("light_off", 14), mark("starter", 30), mark("idle", 59)]
    first, second = typed_starts(marks, BEGAN, [655.0], StartRules())
    assert (first.outcome, first.to_light_off, first.peak) == ("unknown", 9, None)
    assert (second.outcome, second.to_idle, second.peak) == ("started", 29, None)
    assert typed_starts([], BEGAN, [655.0, 660.0], StartRules()) == ()


def test_marks_without_a_starter_are_no_start() -> None:
    assert typed_starts([mark("light_off", 14), mark("idle", 36)], BEGAN, [], StartRules()) == ()


def test_a_mark_that_lies_before_the_starter_gives_no_length() -> None:
    marks = [{"name": "starter", "at": "2026-11-03T08:00:20+00:00"}, mark("idle", 10)]
    (start,) = typed_starts(marks, BEGAN, [], StartRules())
    assert start.to_idle is None


def test_how_long_the_starter_was_engaged_is_taken_as_written_down() -> None:
    (written,) = typed_starts([], BEGAN, [], StartRules(), starter_s=20.0, is_motoring=True)
    assert (written.starter_s, written.starter_off_s, written.outcome) == (0.0, 20.0, "motoring")
    assert written.notes == (WRITTEN,)
    (pressed,) = typed_starts([mark("starter", 5)], BEGAN, [], StartRules(), starter_s=20.0)
    assert (pressed.starter_s, pressed.starter_off_s, pressed.outcome) == (5.0, 25.0, "unknown")
    # Of which of two presses it is, nobody wrote.
    twice = typed_starts([mark("starter", 5), mark("starter", 50)], BEGAN, [], StartRules(), starter_s=20.0)
    assert [start.starter_off_s for start in twice] == [None, None]


def test_a_motoring_run_in_which_something_lit_is_none() -> None:
    (lit,) = typed_starts([mark("starter", 5), mark("light_off", 12)], BEGAN, [], StartRules(), is_motoring=True)
    assert lit.outcome == "unknown"

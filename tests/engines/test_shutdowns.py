"""What a trace shows of a shutdown, worked by hand from the rows, a second apart."""

from typing import Any

import pytest

from engines.documents import engine_type_read
from engines.shutdowns import ShutdownFigures, shutdowns_of
from engines.traces import Trace
from tests.engines.starts_kit import NAN, document_with, trace_with, type_with

# Running ends at row 7, the first below 45; 55 to 35 crosses 45 at 6.5 s, 7 to 3 crosses 5 at 10.5 s.
N1 = [0, 30, 60, 60, 60, 60, 55, 35, 20, 12, 7, 3, 0]
ITT = [40, 300, 500, 500, 500, 500, 500, 420, 400, 380, 360, 350, 340]
TORQUE = [0, 0, 30, 30, 8, 8, 8, 7, 0, 0, 0, 0, 0]
WHOLE = {"n1": N1, "itt": ITT, "torque": TORQUE}


def the_shutdown(trace: Trace, **rules: Any) -> ShutdownFigures:
    (found,) = shutdowns_of(trace, type_with(**rules))
    return found


def test_a_whole_shutdown() -> None:
    # The torque was last at 10 or more at row 3.
    assert the_shutdown(trace_with(WHOLE)) == ShutdownFigures(at_s=7, cooled_s=4, run_down_s=4.0, temperature=420)


def test_an_engine_that_never_gave_power_cooled_since_the_record_began() -> None:
    assert the_shutdown(trace_with(WHOLE, torque=[5] * 13)).cooled_s == 7


@pytest.mark.parametrize("rules", [{"cool_down": None}, {"cool_down": {"channel": "ign", "below": 1, "seconds": 1}}])
def test_a_cool_down_that_no_channel_shows(rules: dict[str, Any]) -> None:
    assert the_shutdown(trace_with(WHOLE), **rules).cooled_s is None


def test_a_gap_ends_what_is_known_of_the_cool_down() -> None:
    gapped = [0, 0, 30, NAN, NAN, NAN, 8, 7, 0, 0, 0, 0, 0]
    assert the_shutdown(trace_with(WHOLE, torque=gapped)).cooled_s == 1
    late = [0, 0, 30, 30, 8, NAN, NAN, NAN, 0, 0, 0, 0, 0]
    assert the_shutdown(trace_with(WHOLE, torque=late)).cooled_s is None
    none_before = [NAN] * 8 + [0] * 5
    assert the_shutdown(trace_with(WHOLE, torque=none_before)).cooled_s is None


def test_a_run_down_that_is_not_seen_to_its_end() -> None:
    short = {name: values[:10] for name, values in WHOLE.items()}
    assert the_shutdown(trace_with(short)).run_down_s is None
    assert the_shutdown(trace_with(WHOLE), run_down=None).run_down_s is None


@pytest.mark.parametrize("lost", [{5, 6, 7}, {8, 9, 10}])
def test_a_gap_in_the_speed_leaves_the_run_down_open(lost: set[int]) -> None:
    n1 = [NAN if k in lost else value for k, value in enumerate(N1)]
    assert the_shutdown(trace_with(WHOLE, n1=n1)).run_down_s is None


def test_a_record_that_ends_while_running_shows_no_shutdown() -> None:
    assert shutdowns_of(trace_with({"n1": N1[:6], "itt": ITT[:6]}), type_with()) == ()
    assert shutdowns_of(trace_with({"n1": [NAN] * 3}), type_with()) == ()
    assert shutdowns_of(trace_with(WHOLE), engine_type_read(document_with(None, segmentation=None))) == ()
    (found,) = shutdowns_of(trace_with(WHOLE), engine_type_read(document_with(None)))
    assert found == ShutdownFigures(at_s=7, temperature=420)


def test_two_shutdowns_in_one_record() -> None:
    found = shutdowns_of(trace_with({name: values * 2 for name, values in WHOLE.items()}), type_with())
    assert [(one.at_s, one.run_down_s) for one in found] == [(7, 4.0), (20, 4.0)]


def test_a_shutdown_without_a_temperature() -> None:
    assert the_shutdown(trace_with({"n1": N1})).temperature is None

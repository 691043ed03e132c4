"""Regimes, starts and usage of a run, worked by hand from the rows."""

from typing import Any

import numpy as np
import pytest

from engines.charts import Segmentation
from engines.regimes import BLOCK, RegimeSpan, Segments, Usage, segments_of
from engines.traces import Trace

SPEEDS = Segmentation("n1", "itt", turning=5, idle=58, stopping_below=45, light_off_rise=50)
NAN = float("nan")


def segments(n1: list[float], itt: list[float] | None = None, times: list[float] | None = None) -> Segments:
    """Return the segments of a trace with a row a second."""
    at = np.arange(len(n1), dtype=float) if times is None else np.array(times)
    channels = {"n1": np.array(n1)} | ({} if itt is None else {"itt": np.array(itt)})
    found = segments_of(Trace(at, channels), SPEEDS)
    assert found is not None
    return found


def spans(found: Segments) -> list[tuple[Any, ...]]:
    return [(span.regime, span.start_s, span.end_s) for span in found.spans]


def test_a_whole_run() -> None:
    found = segments(
        [0, 3, 6, 12, 20, 40, 59, 70, 70, 44, 30, 20, 3, 0],
        [20, 20, 20, 21, 90, 655, 500, 500, 500, 400, 390, 300, 200, 90],
    )
    assert spans(found) == [("starting", 2, 6), ("running", 6, 9), ("stopping", 9, 12)]
    start = found.starts[0]
    # 21 at row 3 is 1 above the lowest; 90 at row 4 is 70 above it, the first rise of at least 50.
    assert (start.turning_s, start.light_off_s, start.speed_at_light_off, start.idle_s) == (2, 4, 20, 6)
    assert (start.peak, start.peak_s, start.outcome) == (655, 5, "started")
    assert found.usage == Usage(
        hours=5 / 3600, starts=1, cycles=1
    )  # from light-off at 4 s to the end of running at 9 s


def test_the_sample_that_reaches_a_speed_changes_the_regime() -> None:
    assert spans(segments([0, 5, 58, 45, 44.9, 4.9])) == [("starting", 1, 2), ("running", 2, 4), ("stopping", 4, 5)]


def test_a_rise_to_idle_again_is_running_again_and_the_same_turning() -> None:
    found = segments([0, 6, 60, 40, 60, 40, 0], [20, 80, 500, 400, 500, 400, 300])
    assert spans(found) == [
        ("starting", 1, 2),
        ("running", 2, 3),
        ("stopping", 3, 4),
        ("running", 4, 5),
        ("stopping", 5, 6),
    ]
    assert len(found.starts) == 1
    # The lowest since turning is 80 at row 1; 500 at row 2 is the light-off, and running ends for good at 5 s.
    assert found.usage == Usage(hours=3 / 3600, starts=1, cycles=1)


@pytest.mark.parametrize(
    ("n1", "first"),
    [
        ([60, 60, 0], ("running", 0, 2)),
        ([30, 58, 0], ("starting", 0, 1)),
        ([30, 44, 4], ("stopping", 0, 2)),
        ([30, 30, 30], ("stopping", 0, 2)),
        ([50, 4, 60], ("stopping", 0, 1)),
    ],
)
def test_what_a_trace_begins_in_is_told_by_what_follows(n1: list[float], first: tuple[str, float, float]) -> None:
    assert spans(segments(n1))[0] == first


def test_an_engine_that_never_turns_has_no_regime() -> None:
    found = segments([0, 1, 4.9])
    assert (found.spans, found.starts, found.usage) == ((), (), Usage(0.0, 0, 0))


def test_a_jump_over_starting_and_over_stopping_takes_no_time() -> None:
    found = segments([0, 60, 0], [20, 600, 500])
    assert spans(found) == [("running", 1, 2)]
    assert [(s.turning_s, s.idle_s, s.outcome) for s in found.starts] == [(1, 1, "started")]
    assert [(s.regime, s.first, s.last) for s in found.stretches][0] == ("starting", 1, 1)


@pytest.mark.parametrize(
    ("n1", "itt", "outcome", "usage"),
    [
        ([0, 10, 20, 4], [20, 20, 21, 21], "motoring", Usage(0.0, 0, 0)),
        ([0, 10, 20, 4], [20, 20, 90, 80], "aborted", Usage(0.0, 1, 0)),
        ([0, 10, 20, 30], [20, 20, 90, 80], "cut", Usage(0.0, 1, 0)),
        # With idle it is started though the light-off was not seen; counted from idle to the end of the trace.
        ([0, 10, 60, 60], [20, 20, 20, 20], "started", Usage(1 / 3600, 1, 1)),
    ],
)
def test_outcomes_of_a_start(n1: list[float], itt: list[float], outcome: str, usage: Usage) -> None:
    found = segments(n1, itt)
    assert [start.outcome for start in found.starts] == [outcome]
    assert found.usage == usage


def test_a_trace_that_begins_running_counts_from_its_beginning() -> None:
    found = segments([60, 60, 60, 30, 0])
    assert (found.starts, found.usage) == ((), Usage(3 / 3600, 0, 0))


def test_two_starts_in_one_trace_are_summed() -> None:
    found = segments([0, 10, 60, 60, 0, 0, 10, 60, 60, 0], [20, 80, 500, 500, 300, 200, 190, 400, 400, 300])
    # 80 is the lowest since turning: lit at 2 s, runs to 4 s; second: lowest 190, lit at 7 s, runs to 9 s.
    assert found.usage == Usage(4 / 3600, 2, 2)


def test_without_a_temperature_a_start_has_no_peak() -> None:
    start = segments([0, 10, 60, 0]).starts[0]
    assert (start.light_off_s, start.speed_at_light_off, start.peak, start.peak_s) == (None, None, None, None)


def test_missing_samples_are_skipped_and_the_speed_at_light_off_is_interpolated() -> None:
    found = segments(
        [NAN, 0, 10, NAN, 30, 60, NAN], [NAN, 20, NAN, 90, NAN, 500, NAN], [0.0, 1.0, 2.0, 2.5, 4.0, 5.0, 6.0]
    )
    # Turning at 2 s: the lowest since then is the first valid sample, 90; 500 at 5 s is the rise.
    assert found.starts[0].light_off_s == 5.0
    assert spans(found) == [("starting", 2, 5), ("running", 5, 6)]
    lit = segments([0, 10, NAN, 30, 60], [20, 20, 90, 95, 500], [0.0, 1.0, 1.5, 3.0, 4.0]).starts[0]
    assert (lit.light_off_s, lit.speed_at_light_off) == (1.5, 15.0)  # a quarter of the way from 10 to 30


def test_the_speed_at_light_off_after_the_last_sample_is_the_last_one_s() -> None:
    lit = segments([0, 10, 20, NAN], [20, 20, 20, 90]).starts[0]
    assert (lit.light_off_s, lit.speed_at_light_off, lit.outcome) == (3.0, 20.0, "cut")


def test_an_instant_change_of_the_speed_has_the_value_before_it() -> None:
    lit = segments([0, 10, NAN, 30, 60], [20, 20, 90, 95, 500], [0.0, 1.0, 1.0, 1.0, 4.0]).starts[0]
    assert lit.speed_at_light_off == 10.0


def test_time_before_the_first_speed_sample_has_that_sample_s_regime() -> None:
    assert spans(segments([NAN, NAN, 60, 60, NAN])) == [("running", 0, 4)]


def test_a_long_run_is_read_in_blocks() -> None:
    n1 = [0.0] * 10 + [20.0] * BLOCK + [60.0] * (3 * BLOCK) + [30.0] * 10 + [0.0] * 5
    itt = [20.0] * (20 + BLOCK // 2) + [NAN] * (2 * BLOCK) + [500.0] * (len(n1) - 20 - BLOCK // 2 - 2 * BLOCK)
    found = segments(n1, itt)
    run = 10 + BLOCK
    assert found.spans == (
        RegimeSpan("starting", 10.0, run),
        RegimeSpan("running", run, run + 3.0 * BLOCK),
        RegimeSpan("stopping", run + 3.0 * BLOCK, run + 3.0 * BLOCK + 10),
    )
    assert found.starts[0].light_off_s == 20 + BLOCK // 2 + 2 * BLOCK


@pytest.mark.parametrize("channels", [{}, {"n1": np.array([NAN, NAN])}])
def test_without_the_speed_there_are_no_segments(channels: dict[str, Any]) -> None:
    assert segments_of(Trace(np.array([0.0, 1.0]), channels), SPEEDS) is None
    assert segments_of(Trace(np.array([0.0, 1.0]), {"n1": np.array([60.0, 60.0])}), None) is None

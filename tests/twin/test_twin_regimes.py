"""The twin on cases worked by hand: regimes, starts, usage and charts of some regimes.

The engine turns at 1, idles at 4, stops below 3; light-off is a rise of 50. One row each second.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import pytest

from tests.twin import judge
from tests.twin.hand import Number, chart, engine_type, picked

F = Fraction
Cells = Sequence[Number | None]
EXTENT = ("start_s", "end_s", "area", "area_possible", "possible")


def verdict(n1: Cells, itt: Cells | None = None, *charts: dict[str, Any], times: Cells | None = None) -> dict[str, Any]:
    """Return the verdict on a trace of speed and temperature."""
    columns = {"n1": n1} | ({} if itt is None else {"itt": itt})
    return judge(engine_type(*charts, segmented=True), times or list(range(len(n1))), columns)


def spans(n1: Cells, times: Cells | None = None) -> list[tuple[Any, ...]]:
    """Return the regimes of a trace."""
    return picked(verdict(n1, times=times)["regimes"], "regime", "start_s", "end_s")


REGIMES: dict[str, tuple[Cells, list[tuple[Any, ...]]]] = {
    "a whole run": (
        [0, 1, 2, 4, 9, 2, 1, 0, 0],
        [("starting", 1, 3), ("running", 3, 5), ("stopping", 5, 7)],
    ),
    "still": ([0, 0, 0], []),
    "motoring": ([0, 2, 3, 0, 0], [("starting", 1, 3)]),
    "idle again while stopping": (
        [0, 1, 4, 2, 3, 4, 4],
        [("starting", 1, 2), ("running", 2, 3), ("stopping", 3, 5), ("running", 5, 6)],
    ),
    # Between stopping and idle speed it goes on running.
    "slow running": ([0, 1, 4, 3, 3], [("starting", 1, 2), ("running", 2, 4)]),
    "two runs": ([1, 4, 0, 0, 1, 4, 4], [("starting", 0, 1), ("running", 1, 2), ("starting", 4, 5), ("running", 5, 6)]),
    "begins at idle": ([4, 2, 0], [("running", 0, 1), ("stopping", 1, 2)]),
    "begins on the way up": ([3, 2, 4, 4], [("starting", 0, 2), ("running", 2, 3)]),
    "begins on the way down": ([3, 0, 4], [("stopping", 0, 1)]),
    "begins turning and stays so": ([3, 2, 2], [("stopping", 0, 2)]),
    # The first sample's regime before it, the last one's after it.
    "missing at both ends": ([None, 4, 4, None], [("running", 0, 3)]),
    "missing at the change": ([0, None, 4, None, 2], [("running", 2, 4)]),
    # Straight to idle: starting takes no time and is not listed.
    "straight to idle": ([0, 5, 5], [("running", 1, 2)]),
    "straight to a standstill": ([5, 5, 0], [("running", 0, 2)]),
}


@pytest.mark.parametrize(("n1", "expected"), REGIMES.values(), ids=REGIMES)
def test_regimes(n1: Cells, expected: list[tuple[Any, ...]]) -> None:
    assert spans(n1) == expected


def test_a_regime_of_rows_at_one_time_is_not_listed() -> None:
    assert spans([0, 1, 4, 4], [0, 1, 1, 2]) == [("running", 1, 2)]


STARTS: dict[str, tuple[Cells, Cells, tuple[Any, ...]]] = {
    # Lowest 20 at 1, 70 at 3 is the rise of 50; peak 200 at 4; idle at 5. Speed 3 at the light-off.
    "started": ([0, 1, 2, 3, 3, 4, 4], [10, 20, 30, 70, 200, 90, 300], (1, 3, 3, 200, 4, 5, "started")),
    # The lowest value since turning is 20 at 2, not 10 before turning.
    "lowest since turning": ([0, 1, 2, 4], [10, 65, 20, 70], (1, 3, 4, 70, 3, 3, "started")),
    "light-off not seen": ([0, 1, 2, 4], [20, 20, 20, 30], (1, None, None, 30, 3, 3, "started")),
    "light-off after idle": ([0, 1, 4, 4], [20, 20, 20, 70], (1, 3, 4, 20, 1, 2, "started")),
    # What was read as it stopped turning is no longer of the start.
    "motoring": ([0, 1, 2, 0], [20, 20, 40, 90], (1, None, None, 40, 2, None, "motoring")),
    "aborted": ([0, 1, 2, 2, 0], [20, 20, 90, 80, 10], (1, 2, 2, 90, 2, None, "aborted")),
    "cut": ([0, 1, 2, 2], [20, 20, 90, 80], (1, 2, 2, 90, 2, None, "cut")),
    "turning and idle at once": ([0, 5, 5], [20, 20, 20], (1, None, None, 20, 1, 1, "started")),
    "begins starting": ([2, 2, 4], [20, 70, 60], (0, 1, 2, 70, 1, 2, "started")),
    # Speed read 2 at 2 and 4 at 4, so 3 between.
    "speed between samples": ([0, 1, 2, None, 4], [20, 20, 20, 90, 50], (1, 3, 3, 90, 3, 4, "started")),
    "no temperature": ([0, 1, 4], [None, None, None], (1, None, None, None, None, 2, "started")),
}


@pytest.mark.parametrize(("n1", "itt", "expected"), STARTS.values(), ids=STARTS)
def test_starts(n1: Cells, itt: Cells, expected: tuple[Any, ...]) -> None:
    keys = ("turning_s", "light_off_s", "speed_at_light_off", "peak", "peak_s", "idle_s", "outcome")
    assert picked(verdict(n1, itt)["starts"], *keys) == [expected]


@pytest.mark.parametrize("n1", [[4, 4, 0], [3, 2, 0], [0, 0, 0]])
def test_a_trace_that_begins_past_its_start_has_none(n1: Cells) -> None:
    assert verdict(n1, [20, 90, 200])["starts"] == []


USAGE: dict[str, tuple[Cells, Cells, tuple[int, int, int]]] = {
    # From the light-off at 2 to the first sample below 3, at 5.
    "a run": ([0, 1, 2, 4, 4, 2, 0], [20, 20, 70, 70, 70, 70, 70], (3, 1, 1)),
    # From idle at 2, as no light-off was seen.
    "no light-off seen": ([0, 1, 4, 4, 0], [20, 20, 20, 20, 20], (2, 1, 1)),
    "already running": ([4, 4, 4, 2, 0], [20, 20, 20, 20, 20], (3, 0, 0)),
    # To the end of the last running, at 4: what was between counts.
    "two runnings of one start": ([4, 2, 4, 4, 2, 2, 0], [20] * 7, (4, 0, 0)),
    "aborted": ([0, 1, 2, 2, 0], [20, 20, 90, 80, 10], (0, 1, 0)),
    "motoring": ([0, 1, 2, 2, 0], [20, 20, 20, 20, 20], (0, 0, 0)),
    # An aborted start, then a run from 5 (idle) to 6.
    "two starts": ([0, 1, 1, 0, 1, 4, 4], [20, 20, 90, 20, 20, 20, 20], (1, 2, 1)),
    # The rise came 2 s after running ended: no time run can be counted from it.
    "a rise when already stopping": ([0, 1, 4, 2, 2, 2], [20, 20, 20, 20, 20, 90], (0, 1, 1)),
}


@pytest.mark.parametrize(("n1", "itt", "expected"), USAGE.values(), ids=USAGE)
def test_usage(n1: Cells, itt: Cells, expected: tuple[int, int, int]) -> None:
    seconds, starts, cycles = expected
    assert verdict(n1, itt)["usage"] == {"hours": F(seconds, 3600), "starts": starts, "cycles": cycles}


RUN: Cells = [0, 1, 1, 4, 4, 2, 2, 0]  # starting 1 to 3, running 3 to 5, stopping 5 to 7

CLIPPED: dict[str, tuple[list[str], Cells, list[tuple[Any, ...]]]] = {
    # 12 from 2 to 4, up and down in a second at 10 halfway; A after 1.75 s.
    "whole": (["starting", "running", "stopping"], [8, 8, 12, 12, 12, 8, 8, 8], [(F(3, 2), F(9, 2), "A", "A", 1)]),
    "running only": (["running"], [8, 8, 12, 12, 12, 8, 8, 8], [(3, F(9, 2), None, None, 1)]),
    "stopping only": (["stopping"], [8, 8, 12, 12, 12, 8, 8, 8], []),
    # Clipped at the edge 5, or not, as the two are one window.
    "up to the edge": (["running"], [8, 8, 8, 8, 12, 12, 12, 8], [(F(7, 2), 5, None, None, 1)]),
    "over the edge": (["running", "stopping"], [8, 8, 8, 8, 12, 12, 12, 8], [(F(7, 2), F(13, 2), "A", "A", 1)]),
    # To its end, past idle at 3.
    "starting goes on": (["starting"], [8, 8, 12, 12, 12, 8, 8, 8], [(F(3, 2), F(9, 2), "A", "A", 1)]),
    "going on when starting begins": (["starting"], [12, 12, 12, 8, 8, 8, 8, 8], [(0, F(5, 2), "A", "A", 1)]),
    "begins at idle": (["starting"], [8, 8, 8, 10, 12, 12, 12, 8], []),
    "ends as starting begins": (["starting"], [12, 10, 8, 8, 8, 8, 8, 8], []),
    # Missing at the edge 3: 11 there, between 10 at 2 and 12 at 4.
    "interpolated at the edge": (["running"], [8, 8, 10, None, 12, 8, 8, 8], [(3, F(9, 2), None, None, 1)]),
}


@pytest.mark.parametrize(("regimes", "itt", "expected"), CLIPPED.values(), ids=CLIPPED)
def test_charts_of_regimes(regimes: list[str], itt: Cells, expected: list[tuple[Any, ...]]) -> None:
    found = verdict(RUN, itt, chart([(10, "1.75")], regimes=regimes))["excursions"]
    assert picked(found, *EXTENT) == expected


def test_an_interpolated_edge_counts_for_the_peak() -> None:
    # 12 at 2 and 8 at 4, so 10 at 3 between; the limit of 9 is met at 3.5.
    one = chart([(9, 5)], regimes=["running"], limit=9)
    (found,) = verdict(RUN, [8, 8, 12, None, 8, 8, 8, 8], one)["excursions"]
    assert (found["start_s"], found["end_s"], found["peak"]) == (3, F(7, 2), 10)


def test_on_the_line_is_going_on_where_the_line_is_beyond() -> None:
    # From 0 to 1, where starting begins.
    one = chart([(10, 5)], regimes=["starting"], on_boundary="beyond")
    assert picked(verdict(RUN, [12, 10, 8, 8, 8, 8, 8, 8], one)["excursions"], "start_s", "end_s") == [(0, 1)]


def test_clip_first_then_rejoin() -> None:
    # Running from 0 to 2 and 4 to 6. At 12 all the time, 2 s of the 6 in stopping.
    n1, itt = [4, 4, 2, 2, 4, 4, 4], [12] * 7
    apart = verdict(n1, itt, chart([(10, 5)], regimes=["running"], rejoin_s=1))["excursions"]
    assert picked(apart, "start_s", "end_s", "seconds_above", "open_ended") == [(0, 2, 2, True), (4, 6, 2, True)]
    (one,) = verdict(n1, itt, chart([(10, 5)], regimes=["running"], rejoin_s=2))["excursions"]
    assert (one["start_s"], one["end_s"], one["seconds_above"]) == (0, 6, 4)


GAPS: dict[str, tuple[str, list[tuple[Any, ...]]]] = {
    # A gap from 2 (12, in starting) to 5 (8, stopping); running is 3 to 5, where no sample was taken before 5.
    "running": ("running", [(3, 5, None, "A", 1, None)]),
    "starting": ("starting", [(F(3, 2), 2, None, "A", 1, 12)]),
}


@pytest.mark.parametrize(("regime", "expected"), GAPS.values(), ids=GAPS)
def test_clipped_gaps_keep_their_higher_end(regime: str, expected: list[tuple[Any, ...]]) -> None:
    itt: Cells = [8, 8, 12, None, None, 8, 8, 8]
    found = verdict(RUN, itt, chart([(10, "1.75")], regimes=[regime]))["excursions"]
    assert picked(found, *EXTENT, "peak") == expected


def test_without_speed_only_charts_of_running_are_judged() -> None:
    some = [chart([(10, 0)], name=name, regimes=[name]) for name in ("running", "starting", "stopping")]
    for n1 in ({}, {"n1": [None, None]}):
        found = judge(engine_type(*some, segmented=True), [0, 1], {"itt": [12, 12]} | n1)
        assert picked(found["excursions"], "chart") == [("running",)]
        assert picked(found["not_judged"], "chart") == [("starting",), ("stopping",)]
        assert (len(found["notes"]), found["regimes"], found["starts"], found["usage"]) == (1, [], [], None)


def test_pooled_starts() -> None:
    # Above in each of two starts, and in running, which does not count.
    n1, itt = [1, 1, 4, 4, 4, 0, 1, 1, 4], [8, 12, 8, 8, 12, 8, 8, 12, 8]
    one = chart([(10, "1.5")], regimes=["starting"], accumulate="run")
    (found,) = verdict(n1, itt, one)["excursions"]
    assert (found["start_s"], found["end_s"], found["seconds_above"], found["area"]) == (F(1, 2), F(15, 2), 2, "A")

"""The verdict on a trace, worked by hand; the exact-rational twin covers what is not spelt out here."""

import json
from typing import Any

import numpy as np
import pytest

from engines.documents import engine_type_read
from engines.traces import Ignored, Recording, Trace
from inspections.exceedance import judge, judge_in_full
from inspections.verdict import Verdict, excursion_read

NAN = float("nan")
LOOK = {"summary": "Look", "before_next_flight": True}


def document(*, chart: dict[str, Any] | None = None, **channel: Any) -> dict[str, Any]:
    """Return an invented type with one chart over one channel, and a speed."""
    areas = [
        {"name": "A", "allowed": [{"above": 700, "seconds": 60}, {"above": 720, "seconds": 0}], "action": LOOK},
        {"name": "B", "allowed": [{"above": 720, "seconds": 5}, {"above": 760, "seconds": 0}], "action": LOOK},
    ]
    own = {"name": "ITT", "channel": "itt", "limit": 700, "method": "time_above", "areas": areas} | (chart or {})
    return {
        "name": "Testbird",
        "channels": [{"name": "itt", "unit": "degC"} | channel, {"name": "n1", "unit": "percent"}],
        "segmentation": {
            "speed": "n1", "temperature": "itt", "turning": 5, "idle": 58, "stopping_below": 45, "light_off_rise": 50,
        },
        "charts": [own],
    }  # fmt: skip


def verdict(
    itt: list[float], *, n1: list[float] | None = None, times: list[float] | None = None, **changes: Any
) -> Verdict:
    at = np.arange(len(itt), dtype=float) if times is None else np.array(times)
    channels = {"itt": np.array(itt)} | ({} if n1 is None else {"n1": np.array(n1)})
    return judge(Trace(at, channels), engine_type_read(document(**changes)))


def test_an_excursion_with_its_levels_area_and_margin() -> None:
    # 690 → 718 over 1 s crosses 700 after 10/28 s; 70 s at 718; back to 690.
    found = verdict([690, *[718] * 71, 690]).excursions
    assert len(found) == 1
    one = found[0]
    assert one.start_s == pytest.approx(10 / 28)
    assert one.end_s == pytest.approx(72 - 10 / 28)
    assert one.seconds_above == pytest.approx(72 - 20 / 28)
    assert (one.peak, one.area, one.area_possible, one.possible, one.open_ended) == (718, "A", "A", 1, False)
    assert [(level.value, round(level.seconds, 6)) for level in one.levels] == [(700, 71.285714), (720, 0), (760, 0)]
    # No time was spent at 720, where area B begins: no seconds; 2 °C more for as long would have entered it.
    assert one.margin is not None
    assert (one.margin.next_area, one.margin.seconds, one.margin.value) == ("B", None, pytest.approx(2))


@pytest.mark.parametrize(("seconds", "area"), [(59.0, None), (60.0, None), (60.000002, "A"), (61.0, "A")])
def test_the_allowed_time_itself_is_allowed(seconds: float, area: str | None) -> None:
    # Instant changes, so that the time above 700 is exactly the plateau.
    found = verdict([650, 710, 710, 650], times=[0, 0, seconds, seconds], max_gap_s=100).excursions
    assert [one.area for one in found] == [area]


@pytest.mark.parametrize(("value", "listed"), [(699.0, False), (700.0, False), (700.5, True)])
def test_the_limit_itself_is_allowed(value: float, listed: bool) -> None:
    assert bool(verdict([650, value, value, 650]).excursions) is listed


def test_on_boundary_beyond_counts_the_limit_and_the_allowed_time_themselves() -> None:
    # 700 for 60 s exactly, entered and left at an instant: at the limit and for the allowed time.
    beyond = {"on_boundary": "beyond"}
    found = verdict([650, 700, 700, 650], times=[0, 0, 60, 60], chart=beyond, max_gap_s=100).excursions
    assert [(one.area, one.seconds_above) for one in found] == [("A", 60)]
    assert verdict([650, 700, 650], chart=beyond).excursions == ()


def test_by_peak_the_whole_time_is_at_the_peak() -> None:
    # 10 s above 700 of which 1 s near 750: by time_above nothing above 720 for 5 s; by peak 10 s at 750 is area B.
    trace = [690, *[705] * 9, 750, 690]
    assert [one.area for one in verdict(trace).excursions] == ["A"]
    assert [one.area for one in verdict(trace, chart={"method": "peak"}).excursions] == ["B"]


def test_the_result_is_worst_where_a_gap_touches_the_limit() -> None:
    # 718 at 10 s, nothing until 80 s, 650 then: at worst 70 s at 718, which is area A.
    found = verdict([650, 718, 650, 650], times=[9, 10, 80, 81])
    one = found.excursions[0]
    assert (one.area, one.area_possible, one.end_s) == (None, "A", 10)
    assert [(u.channel, u.start_s, u.end_s) for u in found.unobserved] == [("itt", 10, 80)]


def test_a_gap_below_the_limit_is_told_and_changes_nothing() -> None:
    found = verdict([650, NAN, NAN, NAN, 650])
    assert (found.excursions, len(found.unobserved)) == ((), 1)


def test_two_excursions_on_either_side_of_a_gap_are_one_event() -> None:
    found = verdict([650, 710, NAN, NAN, NAN, 710, 650]).excursions
    assert [one.possible for one in found] == [1, 1]
    assert [one.area_possible for one in found] == [None, None]


def test_a_lone_sample_above_between_gaps_is_listed_without_time() -> None:
    found = verdict([650, NAN, NAN, NAN, 730, NAN, NAN, NAN, 650]).excursions
    # Filled at 730 for 8 s: more than 5 s above 720.
    assert [(one.seconds_above, one.area, one.area_possible) for one in found] == [(0, None, "B")]
    assert found[0].margin is not None
    assert (found[0].margin.seconds, found[0].margin.value) == (None, None)


def test_an_excursion_at_an_end_of_the_record_is_open_ended() -> None:
    assert [one.open_ended for one in verdict([710, 650, 650, 710]).excursions] == [True, True]


def test_rejoin_and_accumulation() -> None:
    trace = [650, *[710] * 40, 690, *[710] * 40, 650]
    assert [one.area for one in verdict(trace).excursions] == [None, None]
    joined = verdict(trace, chart={"rejoin_s": 2}).excursions
    assert [one.area for one in joined] == ["A"]
    # Twice: 1/6 s of the rise, 39 s at 710, 1/2 s of the fall; the second between is not time above.
    assert joined[0].seconds_above == pytest.approx(2 * (1 / 6 + 39 + 1 / 2))
    whole = verdict(trace, chart={"accumulate": "run"}).excursions
    assert [(one.area, one.possible) for one in whole] == [("A", 1)]


def test_the_tolerance_lists_what_may_have_entered_an_area() -> None:
    # 699 for 70 s with an instrument good to 2 °C: at worst 701 for 70 s.
    found = verdict([650, *[699] * 71, 650], tolerance=2).excursions
    one = found[0]
    assert (one.area, one.area_possible, one.seconds_above, one.peak, one.margin) == (None, "A", 0, 699, None)
    assert verdict([650, *[699] * 10, 650], tolerance=2).excursions == ()


def test_a_low_limit_is_the_same_thing_turned() -> None:
    chart = {
        "side": "below", "limit": 40, "method": "peak",
        "areas": [{"name": "A", "allowed": [{"below": 40, "seconds": 5}, {"below": 30, "seconds": 0}], "action": LOOK}],
    }  # fmt: skip
    one = verdict([50, 38, 38, 38, 50], chart=chart).excursions[0]
    assert (one.peak, one.area) == (38, None)
    assert one.margin is not None
    assert (one.margin.value, one.margin.next_area) == (8, "A")
    assert one.document()["levels"][0] == {"below": 40, "seconds": pytest.approx(2 + 2 * 10 / 12 - 2 * 8 / 12)}


def test_a_chart_in_another_unit_reports_in_its_own() -> None:
    areas = [{"name": "A", "allowed": [{"above": 1292, "seconds": 1}], "action": LOOK}]
    found = verdict([650, 710, 710, 650], chart={"unit": "degF", "limit": 1292, "areas": areas}).excursions
    assert (found[0].unit, round(found[0].peak or 0, 6), found[0].area) == ("degF", 1310, "A")  # 710 °C is 1310 °F


N1 = [0, 10, 20, 60, 60, 60, 30, 0]


@pytest.mark.parametrize(
    ("regimes", "extents"),
    [
        (None, [(1, 7)]),
        (["starting", "running", "stopping"], [(1, 7)]),
        (["running"], [(3, 6)]),
        (["stopping"], [(6, 7)]),
        (["running", "stopping"], [(3, 7)]),
        (["starting"], [(1, 7)]),
    ],
)
def test_regimes_clip_the_trace_but_a_start_is_judged_to_its_end(
    regimes: list[str] | None, extents: list[tuple[float, float]]
) -> None:
    itt = [650, 710, 710, 710, 710, 710, 710, 710, 650]
    chart = {} if regimes is None else {"regimes": regimes}
    found = verdict([*itt[:8]], n1=N1, chart=chart).excursions
    rounded = [(round(one.start_s or 0.0), round(one.end_s or 0.0)) for one in found]
    assert rounded == extents


def test_a_start_s_excursion_over_the_whole_run_counts_once_where_the_run_is_accumulated() -> None:
    itt = [20.0, 710, 690, 710, 500, 500, 400, 300]
    one = verdict(itt, n1=N1, chart={"regimes": ["starting"], "accumulate": "run"}).excursions
    assert len(one) == 1
    assert verdict([20.0] * 8, n1=N1, chart={"regimes": ["starting"], "accumulate": "run"}).excursions == ()
    # Above the limit only at the end, when nothing starts.
    late = [20.0, 100, 100, 100, 100, 100, 100, 710]
    assert verdict(late, n1=N1, chart={"regimes": ["starting"], "accumulate": "run"}).excursions == ()


@pytest.mark.parametrize(
    ("times", "itt", "n1"),
    [
        ([0, 5, 5, 6], [8, 12, 8, 8], [0, 1, 1, 4]),
        ([0, 5, 5, 6, 7, 8, 9], [8, 12, 8, 8, 8, 12, 8], [0, 1, 1, 1, 1, 1, 4]),
    ],
)
def test_what_may_have_been_goes_with_what_is_proven_at_the_edge_of_a_start(
    times: list[float], itt: list[float], n1: list[float]
) -> None:
    document_ = document(chart={"regimes": ["starting"], "limit": 10, "method": "peak", "areas": [
        {"name": "A", "allowed": [{"above": 10, "seconds": 3}], "action": LOOK},
    ]})  # fmt: skip
    document_["segmentation"] |= {"turning": 1, "stopping_below": 2, "idle": 4}
    trace = Trace(np.array(times, dtype=float), {"itt": np.array(itt, dtype=float), "n1": np.array(n1, dtype=float)})
    first = judge(trace, engine_type_read(document_)).excursions[0]
    # Instant at 5 s, where a gap of 5 s ends that may have been spent at 12: more than 3 s.
    assert (first.possible, first.area, first.area_possible) == (1, None, "A")


def test_a_margin_counts_the_limit_from_below_at_the_top() -> None:
    areas = [{"name": "A", "allowed": [{"above": 10, "seconds": 2}, {"above": 12, "seconds": 0.001}], "action": LOOK}]
    chart = {"limit": 10, "boundary": "linear", "areas": areas}
    one = verdict([10, 10.25, 12, 10], times=[0, 0.25, 0.5, 1.5], chart=chart).excursions[0]
    assert one.margin is not None
    # Towards 12 the time falls to 0 and 0.001 s is allowed there.
    assert one.margin.seconds == pytest.approx(0.001)


def test_without_the_speed_what_includes_running_judges_everything_and_says_so() -> None:
    found = verdict([650, 710, 650], chart={"regimes": ["running"]})
    assert len(found.excursions) == 1
    assert "whole trace" in found.notes[0]
    assert found.usage is None
    refused = verdict([650, 710, 650], chart={"regimes": ["starting"]})
    assert "starting part of the run is not known" in refused.not_judged[0].reason


def test_a_chart_without_its_channel_is_not_judged() -> None:
    found = judge(Trace(np.arange(2.0), {"n1": np.array([60.0, 60.0])}), engine_type_read(document()))
    assert [n.reason for n in found.not_judged] == ["the trace has no column for itt"]
    empty = verdict([NAN, NAN])
    assert [n.reason for n in empty.not_judged] == ["the trace has no valid sample of itt"]
    assert [(u.start_s, u.end_s) for u in empty.unobserved] == [(0, 1)]


def test_total_time_rules_get_their_seconds() -> None:
    rule = {"above": 705, "seconds": 100, "since": "new", "action": LOOK}
    data = engine_type_read(document(chart={"repeats": [rule]}))
    trace = Trace(np.array([0.0, 0.0, 10.0, 10.0]), {"itt": np.array([650.0, 710, 710, 650])})
    # Not observed for 10 s at 710 on both sides: at worst all of it was above 705.
    assert judge_in_full(trace, data).repeat_seconds == {"ITT|0": 10.0}
    joined = engine_type_read(document(chart={"repeats": [rule]}, max_gap_s=10))
    assert judge_in_full(trace, joined).repeat_seconds == {"ITT|0": 10.0}


def test_the_document_has_the_contract_s_names_and_comes_back() -> None:
    recording = Recording(
        Trace(np.arange(3.0), {"itt": np.array([650.0, 710, 650])}), (), (), (Ignored("itt", 2, "---"),)
    )
    found = judge(recording, engine_type_read(document()))
    plain = json.loads(json.dumps(found.document(), allow_nan=False))
    assert list(plain) == [
        "samples", "regimes", "starts", "usage", "unobserved", "ignored", "notes", "repeats", "not_judged",
        "excursions",
    ]  # fmt: skip
    assert plain["ignored"] == [{"column": "itt", "cells": 2, "example": "---"}]
    assert list(plain["excursions"][0]) == [
        "chart", "channel", "unit", "start_s", "end_s", "open_ended", "peak", "seconds_above", "levels", "area",
        "area_possible", "possible", "margin",
    ]  # fmt: skip
    assert excursion_read(plain["excursions"][0]) == found.excursions[0]
    with_regimes = verdict([20.0, 90, 300, 500, 500, 500, 400, 300], n1=N1).document()
    assert with_regimes["usage"]["starts"] == 1
    assert list(with_regimes["starts"][0])[:2] == ["turning_s", "light_off_s"]

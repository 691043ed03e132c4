"""The curves drawn under a run say what its verdict says."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from engines.charts import EngineTypeData
from engines.documents import engine_type_read
from engines.traces import Trace
from inspections.exceedance import judge
from logbook.pictures import MOST_LEVELS, JudgedRun, curve_points
from tests.documents import type_document

SIZE = (360.0, 300.0)


def run_of(data: EngineTypeData, itt: Any, n1: Any, oil: Any = None) -> JudgedRun:
    """Return a judged run of these samples, one a second."""
    times = np.arange(len(itt), dtype=float)
    oil = np.full(len(itt), 60.0) if oil is None else oil
    channels = {"itt": np.asarray(itt, float), "n1": np.asarray(n1, float), "oil_press": np.asarray(oil, float)}
    trace = Trace(times, {**channels, "torque": np.full(len(itt), 50.0)})
    verdict = judge(trace, data)
    return JudgedRun(data, verdict.excursions, verdict.regimes, verdict.unobserved, trace)


@pytest.fixture
def data() -> EngineTypeData:
    """Return the type of the tests."""
    return engine_type_read(type_document())


def beyond(points: list[tuple[float, float]], value: float, sign: float) -> float:
    """Return the time beyond a value by the corners of a curve, strictly beyond on a plateau."""
    at = [sign * v for v, _ in points]
    seconds = [s for _, s in points]
    right = int(np.searchsorted(at, sign * value, side="right"))
    if right == len(at):
        return 0.0
    return float(np.interp(sign * value, at[right - 1 :], seconds[right - 1 :]))


HUMP = np.concatenate([np.full(10, 650.0), np.linspace(650, 765, 24), np.full(6, 725.0), np.full(10, 650.0)])


@pytest.mark.parametrize(
    ("itt", "n1", "oil", "chart"),
    [
        (HUMP, np.full(50, 90.0), None, 1),
        (np.concatenate([HUMP, HUMP]), np.full(100, 90.0), None, 1),
        (np.linspace(690, 750, 40), np.concatenate([np.full(20, 90.0), np.zeros(20)]), None, 1),
        (
            np.full(30, 600.0),
            np.full(30, 90.0),
            np.concatenate([np.full(10, 60.0), np.full(9, 35.0), np.full(11, 60.0)]),
            2,
        ),
        (
            np.concatenate([np.full(5, 20.0), np.linspace(20, 900, 20), np.full(5, 600.0)]),
            np.linspace(4, 60, 30),
            None,
            0,
        ),
    ],
    ids=["hump", "two", "cut by a regime", "low", "start"],
)
def test_a_curve_passes_through_the_verdicts_levels(
    itt: Any, n1: Any, oil: Any, chart: int, data: EngineTypeData
) -> None:
    run = run_of(data, itt, n1, oil)
    limit = data.charts[chart]
    trace = run.traced(limit)
    assert trace is not None
    assert run.of(limit)
    for excursion in run.of(limit):
        points = curve_points(trace, limit, excursion, run)
        for level in excursion.levels:
            assert beyond(points, level.value, limit.sign) == pytest.approx(level.seconds, abs=1e-6)


def test_the_most_a_curve_is_drawn_with(data: EngineTypeData) -> None:
    rng = np.random.default_rng(7)
    itt = 720 + 15 * rng.standard_normal(3000).cumsum() / 60 + rng.random(3000)
    run = run_of(data, np.maximum(itt, 700.5), np.full(3000, 90.0))
    chart = data.charts[1]
    trace = run.traced(chart)
    assert trace is not None
    (excursion,) = run.of(chart)
    points = curve_points(trace, chart, excursion, run)
    assert len(points) <= 2 * MOST_LEVELS
    assert points[0][1] == pytest.approx(excursion.seconds_above)
    assert [s for _, s in points] == sorted((s for _, s in points), reverse=True)


def test_a_reading_has_no_curve_and_no_picture(data: EngineTypeData) -> None:
    run = replace(run_of(data, HUMP, np.full(50, 90.0)), trace=None)
    chart = data.charts[1]
    assert (run.picture(chart, *SIZE), list(run.curves(chart, SIZE)), run.caption(chart)) == (None, [], "")
    assert run.records == {}


def test_what_no_sample_proves_has_no_curve(data: EngineTypeData) -> None:
    run = run_of(data, HUMP, np.full(50, 90.0))
    chart = data.charts[1]
    trace = run.traced(chart)
    assert trace is not None
    only_possible = replace(run.of(chart)[0], seconds_above=0.0)
    assert curve_points(trace, chart, only_possible, run) == []
    elsewhere = replace(run.of(chart)[0], start_s=0.0, end_s=5.0)
    assert curve_points(trace, chart, elsewhere, run) == []


def test_a_channel_without_a_valid_sample_has_no_record(data: EngineTypeData) -> None:
    run = run_of(data, np.full(20, 600.0), np.full(20, 90.0), np.full(20, np.nan))
    assert "oil_press" not in run.records
    assert run.records["itt"] == (0.0, 19.0)

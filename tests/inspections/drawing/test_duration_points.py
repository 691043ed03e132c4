from dataclasses import replace

import numpy as np
import pytest

from engines.charts import LimitChart, OnBoundary
from engines.traces import Trace
from inspections.drawing.duration_points import duration_points
from inspections.exceedance import judge
from inspections.verdict import Unobserved
from tests.inspections.drawing.cases import GAP, LOW_OIL, RUNNING, engine_type, excursion, flight

STEADY = Trace(np.arange(8.0), {"itt": np.array([690.0, 690, 710, 710, 710, 720, 690, 690])})
WHOLE = replace(RUNNING, regimes=None)


def test_a_plateau_is_a_jump_of_the_curve() -> None:
    found = excursion(start_s=1.5, end_s=5 + 2 / 3)
    points = duration_points(STEADY, WHOLE, found, [])
    expected = [(700, 4 + 1 / 6), (710, 3 + 1 / 3), (710, 1 + 1 / 3), (720, 0)]
    assert points == [pytest.approx(point) for point in expected]


@pytest.mark.parametrize(("on_boundary", "seconds"), [("within", 5.0), ("beyond", 8.0)])
def test_time_on_the_limit_counts_as_the_chart_says(on_boundary: OnBoundary, seconds: float) -> None:
    trace = Trace(np.arange(9.0), {"itt": np.array([700.0, 700, 700, 705, 705, 705, 705, 700, 700])})
    chart = replace(WHOLE, on_boundary=on_boundary)
    points = duration_points(trace, chart, excursion(start_s=0.0, end_s=8.0), [])
    assert points[0] == pytest.approx((700, seconds))


@pytest.mark.parametrize("chart", [WHOLE, replace(WHOLE, on_boundary="beyond")])
def test_the_curve_agrees_with_the_verdict(chart: LimitChart) -> None:
    trace = flight()
    verdict = judge(trace, engine_type(chart))
    (found,) = verdict.excursions
    points = duration_points(trace, chart, found, verdict.unobserved)
    assert points[0] == pytest.approx((700, found.seconds_above))
    assert points[-1] == pytest.approx((718, 0))
    assert len(points) <= 400


def test_a_low_limit_counts_the_time_below() -> None:
    times = np.arange(0, 60.0)
    trace = Trace(times, {"oil_press": np.interp(times, [0, 10, 20, 30, 59], [80, 80, 40, 80, 80])})
    verdict = judge(trace, engine_type(LOW_OIL))
    (found,) = verdict.excursions
    points = duration_points(trace, LOW_OIL, found, verdict.unobserved)
    assert points[0] == pytest.approx((60, 10))
    assert points[-1] == pytest.approx((40, 0))


def test_time_in_a_gap_is_not_counted() -> None:
    times = np.array([0.0, 1, 2, 12, 13, 14])
    trace = Trace(times, {"itt": np.array([700.0, 710, 710, 710, 710, 700])})
    gaps = [Unobserved("itt", 2, 12), GAP]
    points = duration_points(trace, WHOLE, excursion(start_s=0.0, end_s=14.0), gaps)
    assert points[0] == pytest.approx((700, 4))


@pytest.mark.parametrize(("start", "end"), [(None, None), (0.0, None), (6.0, 7.0)])
def test_an_excursion_without_times_or_samples_has_no_curve(start: float | None, end: float | None) -> None:
    assert duration_points(STEADY, WHOLE, excursion(start_s=start, end_s=end), []) == []

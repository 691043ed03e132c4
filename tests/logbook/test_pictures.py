"""Pictures of a judged run: in the chart's unit, with curves that agree with the verdict, and none without a trace."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from engines.documents import engine_type_read
from engines.traces import Trace
from engines.units import convert
from inspections.exceedance import judge
from logbook.pictures import MOST_LEVELS, JudgedRun, curve_points
from tests.documents import type_document

SECONDS = 400


def flown(**channels: Any) -> Trace:
    """Return a recorded run, one row a second: 20 s of start, then at idle until 30 s before the end."""
    times = np.arange(SECONDS, dtype=float)
    n1 = np.where(times < SECONDS - 30, np.clip(times * 3, 0, 85), 85 - 3 * (times - SECONDS + 30))
    flat = {"itt": np.full(SECONDS, 600.0), "n1": np.clip(n1, 0, 85), "oil_press": np.where(n1 > 5, 55.0, 0.0)}
    return Trace(times, {**flat, **channels})


def hot(peak: float = 741.0, ripple: float = 0.0) -> Trace:
    """Return a run with a hump above 700 °C, not a straight line in it where ``ripple`` is above 0."""
    times = np.arange(SECONDS, dtype=float)
    itt = 600 + (peak - 600) * np.exp(-(((times - 200) / 60) ** 2)) + ripple * np.sin(times * 1.7)
    return flown(itt=itt)


def judged(trace: Trace | None, document: dict[str, Any] | None = None) -> JudgedRun:
    """Return a run as judged by a document; without a trace, by the verdict on one that was hot."""
    data = engine_type_read(document or type_document())
    verdict = judge(hot() if trace is None else trace, data)
    return JudgedRun(data, verdict.excursions, verdict.regimes, verdict.unobserved, trace)


def chart_document(**changes: Any) -> dict[str, Any]:
    """Return the document with its chart of a running engine's temperature changed."""
    document = type_document()
    document["charts"][1] |= changes
    return document


def test_only_charts_that_were_passed_are_drawn() -> None:
    assert [chart.name for chart in judged(hot()).charts] == ["ITT, running"]
    assert judged(flown()).charts == ()


def test_a_picture_is_drawn_in_the_chart_s_unit() -> None:
    areas = [
        {
            "name": "A",
            "allowed": [{"above": 1300, "seconds": 10}],
            "action": {"summary": "Look", "before_next_flight": True},
        }
    ]
    run = judged(hot(), chart_document(unit="degF", limit=1292, areas=areas, repeats=[]))
    (chart,) = run.charts
    picture = run.picture(chart, 480, 300)
    assert picture is not None
    assert "Limit 1292 °F" in picture.texts
    hottest = float(convert(hot().channels["itt"].max(), "degC", "degF"))
    assert any(text.startswith(f"Peak {hottest:.1f} °F") for text in picture.texts)
    assert run.caption(chart) == "400 samples, 1.0 per second, 0 gaps"
    assert run.record(chart) == (0.0, 399.0)


@pytest.mark.parametrize("trace", [None, Trace(np.arange(3.0), {"n1": np.arange(3.0)})], ids=["none", "other column"])
def test_without_the_channel_there_is_no_picture(trace: Trace | None) -> None:
    run = replace(judged(None), trace=trace)
    (chart,) = run.charts
    assert run.picture(chart, 480, 300) is None
    assert (run.caption(chart), run.record(chart), list(run.curves(chart, (360, 300)))) == ("", None, [])


def test_a_channel_without_a_sample_has_no_record() -> None:
    run = replace(judged(hot()), trace=flown(itt=np.full(SECONDS, np.nan)))
    (chart,) = run.charts
    assert run.record(chart) is None


def at_level(points: list[tuple[float, float]], value: float) -> float:
    """Return the time beyond a value from a curve's corners, straight between them. [s]"""
    corners = np.array(sorted(points))
    return float(np.interp(value, corners[:, 0], corners[:, 1]))


@pytest.mark.parametrize("ripple", [0.0, 3.0])
def test_a_curve_agrees_with_the_verdict(ripple: float) -> None:
    run = judged(hot(ripple=ripple))
    (chart,) = run.charts
    assert run.trace is not None
    curves = [curve_points(run.trace, chart, excursion, run) for excursion in run.of(chart)]
    assert len(curves) == len(list(run.curves(chart, (360, 300)))) > 0
    for excursion, points in zip(run.of(chart), curves, strict=True):
        assert points[0][1] == pytest.approx(excursion.seconds_above)
        for level in excursion.levels:
            if level.seconds:
                assert at_level(points, level.value) == pytest.approx(level.seconds, abs=1e-6)


def test_a_curve_of_many_levels_keeps_its_ends() -> None:
    generator = np.random.default_rng(7)
    run = judged(flown(itt=np.where(np.arange(SECONDS) > 30, 710 + 20 * generator.random(SECONDS), 600)))
    (chart,) = run.charts
    (excursion,) = run.of(chart)
    assert run.trace is not None
    points = curve_points(run.trace, chart, excursion, run)
    assert MOST_LEVELS <= len(points) <= 2 * MOST_LEVELS
    assert points[0] == pytest.approx((700.0, excursion.seconds_above))
    assert points[-1] == (excursion.peak, 0.0)


def test_a_low_limit_s_curve_runs_downward() -> None:
    oil = np.where((np.arange(SECONDS) > 100) & (np.arange(SECONDS) < 120), 36.0, 55.0)
    run = judged(flown(oil_press=oil))
    (chart,) = run.charts
    (excursion,) = run.of(chart)
    assert run.trace is not None
    points = curve_points(run.trace, chart, excursion, run)
    assert points[0] == pytest.approx((40.0, excursion.seconds_above))
    assert points[-1][0] == excursion.peak == 36.0


def test_a_chart_of_starts_follows_its_excursion_past_idle() -> None:
    times = np.arange(SECONDS, dtype=float)
    run = judged(flown(itt=np.where((times > 10) & (times < 26), 820.0, 600.0)))
    chart = next(chart for chart in run.charts if chart.name == "ITT, starting")
    (excursion,) = run.of(chart)
    assert run.trace is not None
    assert excursion.end_s is not None and excursion.end_s > 20
    assert curve_points(run.trace, chart, excursion, run)[0][1] == pytest.approx(excursion.seconds_above)


@pytest.mark.parametrize(
    "changes", [{"seconds_above": 0.0}, {"start_s": None, "end_s": None}, {"start_s": 0.0, "end_s": 5.0}]
)
def test_what_no_sample_proves_has_no_curve(changes: dict[str, Any]) -> None:
    run = judged(hot())
    (chart,) = run.charts
    excursion = replace(run.of(chart)[0], **changes)
    assert run.trace is not None
    assert curve_points(run.trace, chart, excursion, run) == []
    assert list(replace(run, excursions=(excursion,)).curves(chart, (360, 300))) == []

"""A margin's trend in a picture and in words: every check a mark, the limit and the baseline as named lines."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from engines.condition import ConditionTrend, DaysLeft, MarginPoint
from engines.trends import Shift, Slope
from inspections.drawing.shapes import Line, Marker, Picture, Polygon
from inspections.drawing.trend_picture import (
    TrendScene,
    days_words,
    shift_words,
    trend_cells,
    trend_facts,
    trend_picture,
    trend_summary,
)

BEGAN = datetime(2026, 1, 5, 9, tzinfo=UTC)
POINTS = tuple(MarginPoint(BEGAN + timedelta(days=20 * k), 30.0 - k, k != 3) for k in range(9))
TREND = ConditionTrend(
    quantity="temperature", channel="itt", unit="degC", points=POINTS, since=BEGAN, since_words="the first check",
    baseline=29.0, latest=22.0, slope=Slope(-0.05, -0.06, -0.04, 22.0), shift=None, shifted_at=None,
    days=DaysLeft(366.7, 440.0, 550.0),
)  # fmt: skip
SCENE = TrendScene(TREND, "Interstage turbine temperature", ((BEGAN + timedelta(days=50), "ITT, running: area A"),))
PHONE, DESK = (360.0, 320.0), (900.0, 360.0)


def drawn(scene: TrendScene = SCENE, size: tuple[float, float] = DESK) -> Picture:
    return trend_picture(scene, width=size[0], height=size[1])


def lines(picture: Picture, role: str) -> list[Line]:
    return [shape for shape in picture.shapes if isinstance(shape, Line) and shape.role == role]


@pytest.mark.parametrize("size", [PHONE, DESK])
def test_every_check_is_a_mark_and_one_that_does_not_count_is_a_square(size: tuple[float, float]) -> None:
    picture = drawn(size=size)
    assert sum(isinstance(s, Marker) and s.role == "counted" for s in picture.shapes) == 8
    assert sum(isinstance(s, Polygon) and s.role == "left-out" for s in picture.shapes) == 1
    assert all(0 <= s.x <= size[0] and 0 <= s.y <= size[1] for s in picture.shapes if isinstance(s, Marker))


def test_the_limit_lies_under_the_marks_and_the_baseline_among_them() -> None:
    picture = drawn()
    (limit,), (baseline,) = lines(picture, "limit"), lines(picture, "baseline")
    marks = [s.y for s in picture.shapes if isinstance(s, Marker)]
    assert limit.start[1] > max(marks) > baseline.start[1] > min(marks)
    said = " ".join(picture.texts)
    assert "nothing left" in said and "baseline 29 °C" in said


def test_the_slope_is_a_line_that_falls_and_an_event_stands_upright() -> None:
    picture = drawn()
    (slope,), (event,) = lines(picture, "slope"), lines(picture, "event")
    assert slope.end[1] > slope.start[1]
    assert event.start[0] == event.end[0]
    assert "1" in picture.texts


def test_an_event_outside_the_span_is_not_drawn() -> None:
    scene = replace(SCENE, events=((BEGAN - timedelta(days=300), "ITT, running: area A"),))
    assert lines(drawn(scene), "event") == []


def test_a_margin_that_is_used_up_lies_under_the_limit() -> None:
    points = (MarginPoint(BEGAN, 3.0, True), MarginPoint(BEGAN + timedelta(days=9), -2.0, True))
    picture = drawn(TrendScene(replace(TREND, points=points, slope=None, baseline=None, days=None), "ITT"))
    (limit,) = lines(picture, "limit")
    assert max(s.y for s in picture.shapes if isinstance(s, Marker)) > limit.start[1]
    assert lines(picture, "slope") == lines(picture, "baseline") == []


def test_one_check_alone_is_drawn() -> None:
    picture = drawn(TrendScene(replace(TREND, points=POINTS[:1], slope=None, baseline=None, days=None), "ITT"))
    assert sum(isinstance(s, Marker) for s in picture.shapes) == 1


def test_months_are_named_and_of_years_every_third() -> None:
    months = {"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}
    assert [text for text in drawn().texts if text in months] == ["Feb", "Mar", "Apr", "May", "Jun"]
    far = (POINTS[0], replace(POINTS[1], at=BEGAN + timedelta(days=720)))
    texts = [text for text in drawn(TrendScene(replace(TREND, points=far, slope=None), "ITT")).texts if text in months]
    assert texts[:3] == ["Feb", "May", "Aug"]


def test_the_words_say_the_same() -> None:
    assert trend_summary(SCENE) == (
        "Interstage turbine temperature: 8 comparable checks since the first check. The latest margin to the chart is "
        "22 °C. That is 7 °C less than the baseline of 29 °C. In 100 days it changes by -5 °C (between -6 and -4)."
    )
    facts = trend_facts(SCENE)
    assert facts[0] == {"Power check": "2026-06-14 09:00", "Margin": "22 °C", "Counts in the trend": "yes"}
    assert facts[5]["Counts in the trend"].startswith("no, ")


def test_a_margin_that_grew_and_a_shift_are_said() -> None:
    shifted = (BEGAN, BEGAN + timedelta(days=20))
    grown = replace(TREND, latest=31.0, shift=Shift(4, -9.0, 20, 0.01), shifted_at=shifted)
    said = trend_summary(replace(SCENE, trend=grown))
    assert "That is 2 °C more than the baseline" in said
    assert "Between 2026-01-05 and 2026-01-25 it dropped by 9 °C at once: look for what changed." in said
    assert shift_words([SCENE]) == []
    short = "Shifted at once between 2026-01-05 and 2026-01-25, so look for what changed: "
    one, other = replace(SCENE, trend=grown), replace(SCENE, trend=grown, label="Fuel flow")
    both = f"{short}Interstage turbine temperature by -9 °C, Fuel flow by -9 °C."
    assert shift_words([one, SCENE, other]) == [both]
    up = trend_summary(replace(SCENE, trend=replace(grown, shift=Shift(4, 9.0, 20, 0.01))))
    assert "it rose by 9 °C at once" in up
    assert len(lines(drawn(replace(SCENE, trend=grown)), "slope")) == 1


def test_too_little_is_said() -> None:
    few = replace(TREND, baseline=None, slope=None, days=None)
    assert trend_summary(replace(SCENE, trend=few)).endswith(
        "There are too few checks for a baseline. There are too few checks for a trend."
    )
    none = replace(few, points=(replace(POINTS[0], is_counted=False),), latest=None)
    assert "0 comparable checks since the first check. There are too few checks for a trend." in trend_summary(
        replace(SCENE, trend=none)
    )


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (None, "Not foretold: there are too few comparable checks."),
        (DaysLeft(0.0, 0.0, 0.0), "Nothing is left of it by the line through the latest checks."),
        (DaysLeft(None, None, None), "No end is foreseen within ten years, if it goes on as in these checks."),
        (DaysLeft(90.0, None, None), "At the soonest in 90 days, with no end foreseen at the latest; if it goes on"),
        (
            DaysLeft(90.0, 120.0, 180.4),
            "At the soonest in 90 days, by the line in 120, at the latest in 180; if",
        ),
    ],
)
def test_days_are_a_range_with_what_it_assumes(days: DaysLeft | None, said: str) -> None:
    assert days_words(replace(TREND, days=days)).startswith(said)


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (None, "not foretold"),
        (DaysLeft(0.0, 0.0, 0.0), "nothing is left"),
        (DaysLeft(None, None, None), "no end foreseen"),
        (DaysLeft(90.0, None, None), "90 or more"),
        (DaysLeft(90.0, 120.0, 180.4), "90 to 180"),
    ],
)
def test_a_trend_is_a_row_of_cells(days: DaysLeft | None, said: str) -> None:
    cells = trend_cells(replace(SCENE, trend=replace(TREND, days=days)))
    assert cells == ["Interstage turbine temperature", "29 °C", "22 °C", "-5 (-6 to -4)", said]


def test_a_row_of_too_few_checks_says_so() -> None:
    few = replace(TREND, baseline=None, latest=None, slope=None, days=None)
    cells = trend_cells(replace(SCENE, trend=few))
    assert cells[1:] == ["too few checks", "too few checks", "too few checks", "not foretold"]

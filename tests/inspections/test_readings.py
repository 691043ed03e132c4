"""Readings that a person wrote down: judged at the peak, and at the worst where something is not known."""

import pytest

from engines.charts import Action, Area, LimitChart, Vertex
from inspections.readings import TypedReading, judge_reading
from inspections.verdict import Excursion

LOOK = Action("Look", True)
AREAS = (
    Area("A", (Vertex(700.0, 60.0), Vertex(720.0, 0.0)), LOOK),
    Area("B", (Vertex(720.0, 5.0), Vertex(760.0, 0.0)), LOOK),
)
CHART = LimitChart("ITT", "itt", "degC", 700.0, AREAS, method="time_above")
BEYOND = LimitChart("ITT", "itt", "degC", 700.0, AREAS, on_boundary="beyond")


def judged(chart: LimitChart, peak: float | None, seconds: float | None, unit: str = "degC") -> Excursion | None:
    return judge_reading(chart, TypedReading("ITT", unit, peak, seconds), 1)


@pytest.mark.parametrize(
    ("peak", "seconds", "area", "possible"),
    [
        (718.0, 60.0, None, None), (718.0, 61.0, "A", "A"), (730.0, 4.0, "A", "A"), (730.0, 6.0, "B", "B"),
        (718.0, None, None, "A"), (730.0, None, None, "B"), (None, 3.0, None, "B"), (None, None, None, "B"),
    ],
)  # fmt: skip
def test_what_is_not_known_falls_to_the_worst_area(
    peak: float | None, seconds: float | None, area: str | None, possible: str | None
) -> None:
    found = judged(CHART, peak, seconds)
    assert found is not None
    assert (found.area, found.area_possible) == (area, possible)
    assert (found.evidence, found.start_s, found.open_ended) == ("reading", None, seconds is None)


def test_a_reading_that_is_not_beyond_the_limit_is_no_excursion() -> None:
    assert judged(CHART, 700.0, 500.0) is None
    assert judged(BEYOND, 700.0, 60.0) is not None
    assert judged(BEYOND, 699.9, 60.0) is None


def test_a_reading_in_another_unit_is_judged_in_the_chart_s() -> None:
    found = judged(CHART, 1310.0, 61.0, unit="degF")  # 1310 °F is 710 °C
    assert found is not None
    assert (found.peak, found.unit, found.area) == (pytest.approx(710.0), "degC", "A")


def test_levels_and_margin_take_all_the_time_at_the_peak() -> None:
    found = judged(CHART, 718.0, 40.0)
    assert found is not None
    assert [(level.value, level.seconds) for level in found.levels] == [(700.0, 40.0), (720.0, 0.0), (760.0, 0.0)]
    assert found.margin is not None
    assert (found.margin.next_area, found.margin.seconds, found.margin.value) == ("A", 20.0, 2.0)
    touching = judged(BEYOND, 720.0, 3.0)
    assert touching is not None
    assert [level.seconds for level in touching.levels] == [3.0, 3.0, 0.0]
    assert found.document()["evidence"] == "reading"

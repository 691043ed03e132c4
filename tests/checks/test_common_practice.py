"""Facts of the trade as check values, each marked "common practice, no published source"."""

import pytest

from engines.charts import Action, Area, LimitChart, Vertex
from inspections.readings import TypedReading, judge_reading
from inspections.verdict import Excursion
from tests.checks.judging import area, excursions_above

LOOK = Action("Look", True)


def plateau(value: float, seconds: float, limit: float, areas: list[dict[str, object]]) -> tuple[Excursion, ...]:
    """Return the excursions of a reading that jumps to a value, stays for a time, and jumps back."""
    return excursions_above(
        [0, 10, 10, 10 + seconds, 10 + seconds, 100 + seconds], [0, 0, value, value, 0, 0], limit, areas
    )


# Common practice, no published source: gas temperature 690 °C continuous, 710 °C for one minute, nothing above.
ITT = [area("A", (690, 60), (710, 0))]


@pytest.mark.parametrize(
    ("value", "seconds", "entered"),
    [
        (690, 3600, None), (700, 59.9, False), (700, 60, False), (700, 60.1, True), (710, 60, False), (710, 60.1, True),
        (710.1, 0.1, True), (711, 60, True),
    ],
)  # fmt: skip
def test_a_short_time_gas_temperature_rating(value: float, seconds: float, entered: bool | None) -> None:
    found = [one.area for one in plateau(value, seconds, 690, ITT)]
    assert found == ([] if entered is None else ["A" if entered else None])


# Common practice, no published source: gas generator speed 100 %, up to 101.5 % for one minute, never above.
N1 = [area("A", (100, 60), (101.5, 0))]


@pytest.mark.parametrize(
    ("value", "seconds", "entered"),
    [(100, 600, None), (101.4, 60, False), (101.5, 60, False), (101.5, 61, True), (101.6, 1, True)],
)
def test_gas_generator_speed_for_one_minute(value: float, seconds: float, entered: bool | None) -> None:
    found = [one.area for one in plateau(value, seconds, 100, N1)]
    assert found == ([] if entered is None else ["A" if entered else None])


# Common practice, no published source: a propeller red line of 2080 rpm.
@pytest.mark.parametrize(("rpm", "entered"), [(2080, None), (2081, "A")])
def test_a_propeller_red_line(rpm: float, entered: str | None) -> None:
    found = [one.area for one in plateau(rpm, 1, 2080, [area("A", (2080, 0))])]
    assert found == ([] if entered is None else [entered])


# Common practice, no published source: an operator's own advisory limit 50 °C under the maximum of 710 °C; it has no
# area, so what passes it is listed and calls for nothing.
def test_an_advisory_limit_lists_and_calls_for_nothing() -> None:
    found = plateau(665, 30, 710 - 50, [])
    assert [(one.area, one.margin, one.seconds_above) for one in found] == [(None, None, 30)]
    assert plateau(660, 30, 710 - 50, []) == ()


# Common practice, no published source: full torque is 127 psi read as 100 %, cruise is set at 115 to 117 psi.
@pytest.mark.parametrize(("psi", "percent"), [(127, 100.0), (115, 90.55), (117, 92.13)])
def test_torque_pressure_at_cruise_is_a_tenth_below_full(psi: float, percent: float) -> None:
    chart = LimitChart("Torque", "torque", "psi", 127, (Area("A", (Vertex(127, 0),), LOOK),))
    assert judge_reading(chart, TypedReading("Torque", "psi", psi, 60), 1) is None
    assert 100 * psi / chart.limit == pytest.approx(percent, abs=0.005)
    above = judge_reading(chart, TypedReading("Torque", "psi", 127.5, 60), 1)
    assert above is not None
    assert above.area == "A"


# Common practice, no published source: oil temperature stays under 100 °C in normal running; 100 itself is not under.
@pytest.mark.parametrize(("value", "entered"), [(99.9, []), (100, ["A"]), (104, ["A"])])
def test_oil_temperature_stays_under_its_limit(value: float, entered: list[str]) -> None:
    areas = [area("A", (100, 0))]
    times, values = [0, 10, 10, 70, 70, 80], [60, 60, value, value, 60, 60]
    found = excursions_above(times, values, 100, areas, on_boundary="beyond")
    assert [one.area for one in found] == entered

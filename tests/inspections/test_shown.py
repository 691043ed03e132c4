"""Limits and excursions on another scale: worked by hand."""

from dataclasses import replace

import numpy as np
import pytest

from engines.documents import engine_type_read
from engines.scales import Scale
from engines.traces import Trace
from inspections.exceedance import judge
from inspections.shown import chart_on, excursion_on, trace_on, type_on
from inspections.verdict import Excursion, Margin
from tests.documents import type_document

FAHRENHEIT = Scale("degC", "degF")
DATA = engine_type_read(type_document())
RUNNING = DATA.charts[1]


def excursion(peak: float) -> Excursion:
    trace = Trace(np.arange(32.0), {"itt": np.array([690.0, *[peak] * 30, 690.0]), "n1": np.full(32, 90.0)})
    (found,) = judge(trace, DATA).excursions
    return found


def test_a_limit_with_its_areas_and_rules() -> None:
    shown = chart_on(RUNNING, FAHRENHEIT)
    assert (shown.unit, shown.limit) == ("degF", 1292)
    assert [vertex.value for vertex in shown.areas[0].allowed] == [1292, 1328]
    assert shown.areas[0].allowed[0].seconds == 60
    assert shown.repeats == RUNNING.repeats
    timed = replace(RUNNING, repeats=(replace(RUNNING.repeats[0], area=None, above=705.0, seconds=60),))
    assert chart_on(timed, FAHRENHEIT).repeats[0].above == 1301


def test_a_limit_that_is_kept_in_another_unit_than_its_channel() -> None:
    kept = chart_on(RUNNING, FAHRENHEIT)
    assert chart_on(kept, FAHRENHEIT) == kept


def test_a_margin_of_20_degrees_celsius_is_one_of_36_fahrenheit() -> None:
    # 700 °C is seen for 30 s; to enter area A at once it takes more than 720 °C.
    found = replace(excursion(710.0), margin=Margin("A", 30.0, 20.0))
    shown = excursion_on(found, 700.0, FAHRENHEIT)
    assert (shown.unit, shown.peak) == ("degF", 1310)
    assert shown.margin is not None
    assert (shown.margin.seconds, shown.margin.value) == (30.0, pytest.approx(36))
    assert [level.value for level in shown.levels] == [1292, 1328, 1400]
    assert [level.seconds for level in shown.levels] == [level.seconds for level in found.levels]
    assert (shown.area, shown.start_s) == (found.area, found.start_s)


def test_a_margin_that_is_not_known_stays_so() -> None:
    unknown = replace(excursion(710.0), peak=None, margin=None)
    assert excursion_on(unknown, 700.0, FAHRENHEIT).peak is None
    assert excursion_on(unknown, 700.0, FAHRENHEIT).margin is None
    short = replace(unknown, margin=Margin("A", 3.0, None))
    assert excursion_on(short, 700.0, FAHRENHEIT).margin == Margin("A", 3.0, None)


def test_a_margin_below_a_low_limit_stays_positive_and_is_measured_from_the_limit_where_no_peak_is_known() -> None:
    own = Scale("degC", "degF")
    low = replace(excursion(710.0), side="below", peak=None, margin=Margin("A", None, 20.0))
    shown = excursion_on(low, 40.0, own)
    assert shown.margin is not None
    assert shown.margin.value == pytest.approx(36)


def test_a_type_and_a_trace_on_some_scales() -> None:
    shown = type_on(DATA, {"itt": FAHRENHEIT})
    assert [channel.unit for channel in shown.channels] == ["degF", "percent", "percent", "psi"]
    assert [chart.unit for chart in shown.charts] == ["degF", "degF", "psi"]
    trace = Trace(np.arange(2.0), {"itt": np.array([0.0, 100.0]), "n1": np.array([5.0, 6.0])})
    turned = trace_on(trace, {"itt": FAHRENHEIT, "np": FAHRENHEIT})
    assert turned.channels["itt"].tolist() == [32, 212]
    assert turned.channels["n1"] is trace.channels["n1"]


def test_a_tolerance_is_shown_as_a_difference() -> None:
    # 1 °C of tolerance is 1.8 °F of tolerance.
    channels = [{"name": "itt", "unit": "degC", "tolerance": 1}, *type_document()["channels"][1:]]
    shown = type_on(engine_type_read(type_document(channels=channels)), {"itt": FAHRENHEIT})
    assert shown.channels[0].tolerance == pytest.approx(1.8)

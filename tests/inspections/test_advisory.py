"""Excursions beyond the operator's own limits: worked by hand, with their margin to the maker's limit."""

from datetime import date, timedelta

import numpy as np
import pytest

from engines.documents import engine_type_read
from engines.errors import DocumentError
from engines.scales import Scale
from engines.traces import Trace
from inspections.advisory import (
    Advised,
    advised_in,
    advised_on,
    advised_read,
    advised_words,
    advisory_counts,
    advisory_of,
    tightened,
)
from inspections.exceedance import judge
from inspections.readings import TypedReading
from tests.documents import type_document

OWN = [
    {"name": "House ITT", "chart": "ITT, running", "limit": 685, "reason": "Kinder to the blades"},
    {"name": "House oil", "chart": "Oil pressure, running", "limit": 50, "engines": ["TB-0001"]},
]
DATA = engine_type_read(type_document(advisory=OWN))


@pytest.mark.parametrize(
    ("changes", "path", "says"),
    [
        ({"chart": "EGT"}, "advisory[0].chart", "“EGT” is not a limit chart of this type; there are ITT"),
        ({"limit": 700}, "advisory[0].limit", "must be tighter than the maker's: below 700 °C"),
    ],
)
def test_what_is_wrong_with_an_own_limit(changes: dict[str, object], path: str, says: str) -> None:
    with pytest.raises(DocumentError) as refused:
        engine_type_read(type_document(advisory=[OWN[0] | changes]))
    assert refused.value.fields[path].startswith(says)


def trace(itt: float, oil: float = 60.0) -> Trace:
    """Return half a minute of running with ten seconds at another temperature and pressure; changes are instant."""
    times = np.array([*range(11), *range(10, 21), *range(20, 31)], dtype=float)
    changed = np.arange(33) // 11 == 1
    channels = {"itt": np.where(changed, itt, 640.0), "oil_press": np.where(changed, oil, 60.0)}
    return Trace(times, channels | {"n1": np.full(33, 90.0)})


def found(itt: float, oil: float = 60.0, serial: str = "TB-0001") -> tuple[Advised, ...]:
    return advised_in(DATA, serial, trace(itt, oil))


def test_one_between_the_operators_limit_and_the_makers() -> None:
    (one,) = found(692.0)
    assert (one.name, one.chart, one.limit, one.maker, one.unit) == ("House ITT", "ITT, running", 685, 700, "degC")
    assert (one.start_s, one.end_s, one.seconds, one.peak) == (10, 20, 10, 692)
    assert (one.margin, one.is_beyond_maker, one.is_read) == (8, False, False)
    said = "Above the operator's own limit of 685 °C for 10 s, to 692 °C. 8.0 °C short of the maker's limit of 700 °C."
    assert advised_words(one) == said


@pytest.mark.parametrize("itt", [640.0, 685.0])
def test_nothing_is_listed_up_to_the_limit_itself(itt: float) -> None:
    assert found(itt) == ()


def test_the_makers_limit_itself_is_not_beyond_it() -> None:
    (one,) = found(700.0)
    assert (one.margin, one.is_beyond_maker) == (0, False)


def test_one_beyond_the_makers_limit_says_so_and_has_no_margin() -> None:
    (one,) = found(712.0)
    assert (one.margin, one.is_beyond_maker) == (None, True)
    assert advised_words(one).endswith("beyond the maker's limit of 700 °C too, which is judged by the maker's chart.")


def test_a_low_limit_has_its_margin_upwards() -> None:
    (one,) = found(640.0, oil=44.0)
    assert (one.name, one.side, one.peak, one.margin) == ("House oil", "below", 44, 4)
    assert advised_words(one).startswith("Below the operator's own limit of 50 psi for 10 s, to 44 psi. 4.0 psi short")


def test_a_limit_of_some_engines_is_none_of_another() -> None:
    assert found(640.0, oil=44.0, serial="TB-0002") == ()
    assert [own.name for own, _ in advisory_of(DATA, "TB-0002")] == ["House ITT"]


def test_the_makers_verdict_is_the_same_with_and_without_the_operators_limits() -> None:
    without = engine_type_read(type_document())
    for itt in (640.0, 692.0, 712.0, 770.0):
        assert judge(trace(itt), DATA).document() == judge(trace(itt), without).document()


def test_nothing_is_called_for_by_the_operators_limit() -> None:
    chart = tightened(*advisory_of(DATA, "TB-0001")[0])
    assert (chart.areas, chart.repeats, chart.regimes) == ((), (), ("running", "stopping"))


def test_readings_of_the_makers_chart_are_held_against_it_too() -> None:
    readings = [
        TypedReading("ITT, running", "degC", 690.0, None),
        TypedReading("ITT, running", "degC", None, 5.0),
        TypedReading("ITT, running", "degC", 680.0, 5.0),
        TypedReading("ITT, starting", "degC", 790.0, 5.0),
    ]
    (one,) = advised_in(DATA, "TB-0001", None, readings)
    assert (one.peak, one.seconds, one.margin, one.is_read, one.start_s) == (690, None, 10, True, None)
    assert "for a time that is not known, to 690 °C" in advised_words(one)


def test_it_is_kept_as_plain_data() -> None:
    (one,) = found(692.0)
    assert advised_read(one.document()) == one


def test_on_another_scale_the_margin_converts_as_a_difference() -> None:
    (one,) = found(680.0 + 10.0)
    shown = advised_on(one, Scale("degC", "degF"))
    assert (shown.unit, shown.limit, shown.maker, shown.peak) == ("degF", 1265, 1292, 1274)
    assert shown.margin == pytest.approx(18)
    beyond = advised_on(found(712.0)[0], Scale("degC", "degF"))
    assert beyond.margin is None


def test_they_are_counted_in_all_since_the_overhaul_and_lately() -> None:
    today = date(2026, 5, 4)
    (near,), (far,) = found(692.0), found(712.0)
    days = [(0, near), (89, far), (90, near), (400, near)]
    passed = [(today - timedelta(days=ago), advised) for ago, advised in days]
    limits = advisory_of(DATA, "TB-0001")
    itt, oil = advisory_counts(limits, passed, today, today - timedelta(days=90))
    assert (itt.own.name, itt.in_all, itt.since_overhaul, itt.recent, itt.least_margin) == ("House ITT", 4, 3, 2, 8)
    assert (oil.in_all, oil.since_overhaul, oil.recent, oil.least_margin) == (0, 0, 0, None)
    assert advisory_counts(limits, passed, today, None)[0].since_overhaul is None

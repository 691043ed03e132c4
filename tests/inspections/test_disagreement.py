"""Readings and trace of one run are compared; what is within how people round is no disagreement."""

from decimal import Decimal
from typing import Any

import pytest

from engines.charts import LimitChart
from engines.documents import engine_type_read
from engines.meter import MeterBefore
from engines.regimes import Usage
from inspections.disagreement import HOURS_APART_S, areas_apart, besides_apart, meter_apart, usage_apart
from inspections.verdict import Excursion
from tests.documents import type_document

RUNNING = engine_type_read(type_document()).charts[1]


def excursion(area: str | None, evidence: str | None, chart: LimitChart = RUNNING) -> Excursion:
    """Return an excursion that enters an area, by a reading or by the trace."""
    return Excursion(
        chart=chart.name, channel="itt", unit="degC", side="above", start_s=None, end_s=None, open_ended=False,
        peak=715.0, seconds_above=3.0, levels=(), area=area, area_possible=area, possible=1, margin=None,
        evidence=evidence,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "traced", "words"),
    [
        (["A"], ["A"], None),
        (["A", "B"], ["B", None], None),
        ([None], [None], None),
        ([], [], None),
        (["B"], ["A"], "what was written down enters area B, the trace area A"),
        ([], ["A"], "what was written down enters no area, the trace area A"),
        (["A"], [], "what was written down enters area A, the trace no area"),
    ],
)
def test_areas_of_a_chart_are_compared(typed: list[Any], traced: list[Any], words: str | None) -> None:
    found = [excursion(a, "reading") for a in typed] + [excursion(a, None) for a in traced]
    assert [line.words for line in areas_apart([RUNNING], found, {RUNNING.name})] == ([words] if words else [])


def test_a_chart_of_which_nothing_was_written_is_not_compared() -> None:
    assert areas_apart([RUNNING], [excursion("A", None)], set()) == []


USAGE = Usage(hours=1.0, starts=1, cycles=1)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({}, []),
        ({"run_time_s": 3600 + HOURS_APART_S, "starts": 1, "cycles": 1}, []),
        ({"run_time_s": 3601 + HOURS_APART_S}, ["1.10 h was written down, the trace shows 1.00 h"]),
        ({"run_time_s": 3599 - HOURS_APART_S}, ["0.90 h was written down, the trace shows 1.00 h"]),
        ({"starts": 2}, ["2 was written down, the trace shows 1"]),
        ({"cycles": 0}, ["0 was written down, the trace shows 1"]),
    ],
)
def test_what_was_used_is_compared(typed: dict[str, int], words: list[str]) -> None:
    stated = {"run_time_s": None, "starts": None, "cycles": None} | typed
    assert [line.words for line in usage_apart(USAGE, **stated)] == words
    assert usage_apart(None, **stated) == []


BEFORE = MeterBefore(Decimal("4312.6"), " on 2026-05-03")
AN_HOUR = Usage(hours=1.0, starts=1, cycles=1)


@pytest.mark.parametrize(
    ("meter_h", "words"),
    [
        (4313.6, None),
        (4313.8, None),
        (
            4331.6,
            "The meter and the run time disagree: 4331.6 h is 19.0 h more than 4312.6 h on 2026-05-03, "
            "and the engine ran 1.00 h since. Did you mean 4313.6?",
        ),
        (4300.0, None),
        (None, None),
    ],
)
def test_meter_and_trace_are_compared(meter_h: float | None, words: str | None) -> None:
    found = meter_apart(AN_HOUR, meter_h=meter_h, before=BEFORE, run_time_s=None)
    assert [(line.about, line.words) for line in found] == ([("Hour meter", words)] if words else [])


def test_meter_and_trace_are_not_compared_where_that_says_nothing_new() -> None:
    assert meter_apart(None, meter_h=4331.6, before=BEFORE, run_time_s=None) == []
    assert meter_apart(AN_HOUR, meter_h=4331.6, before=None, run_time_s=None) == []
    assert meter_apart(AN_HOUR, meter_h=4331.6, before=BEFORE, run_time_s=3600) == []


@pytest.mark.parametrize(
    ("flown", "partial", "about"),
    [
        (None, None, []),
        (3600 + HOURS_APART_S, 2, []),
        (3601 + HOURS_APART_S, 2, ["Time in service"]),
        (3600, 3, ["Partial cycles"]),
        (0, 0, ["Time in service", "Partial cycles"]),
    ],
)
def test_time_in_service_and_partial_cycles_are_compared(
    flown: int | None, partial: int | None, about: list[str]
) -> None:
    shown = {"time_in_service_s": 3600, "partial_cycles": 2}
    found = besides_apart(shown, time_in_service_s=flown, partial_cycles=partial)
    assert [apart.about for apart in found] == about
    assert besides_apart({}, time_in_service_s=flown, partial_cycles=partial) == []

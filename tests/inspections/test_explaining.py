"""How a verdict was reached: the arithmetic shown is the arithmetic that judged."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from engines.charts import Action, Area, Channel, EngineTypeData, LimitChart, Vertex
from engines.traces import Trace
from inspections.exceedance import judge
from inspections.explaining import Case, case_of, checks_of, peak_row, samples_of
from inspections.explaining_words import (
    NO_EVIDENCE,
    NOTHING_ASSUMED,
    Explanation,
    check_words,
    explanation_of,
)
from inspections.readings import TypedReading, judge_reading
from inspections.verdict import Excursion

NAN = float("nan")


def area(name: str, *vertices: tuple[float, float]) -> Area:
    return Area(name, tuple(Vertex(*vertex) for vertex in vertices), Action("Look", before_next_flight=True))


CHART = LimitChart(
    name="ITT",
    channel="itt",
    unit="degC",
    limit=700,
    areas=(area("A", (700, 60), (720, 0)), area("B", (720, 5), (760, 0))),
    method="time_above",
)
LOW = LimitChart("Oil", "oil", "psi", 40, (area("A", (40, 5), (30, 0)),), side="below", boundary="linear")


def engine_type(*charts: LimitChart, tolerance: float = 0.0, unit: str = "degC") -> EngineTypeData:
    channels = (Channel("itt", "Temperature", unit, tolerance), Channel("oil", "Oil pressure", "psi"))
    return EngineTypeData("Testbird", channels, charts)


def trace_of(values: list[float], channel: str = "itt", times: list[float] | None = None) -> Trace:
    at = np.arange(len(values), dtype=float) if times is None else np.array(times)
    return Trace(at, {channel: np.array(values, dtype=float)})


def case(values: list[float], chart: LimitChart = CHART, place: int = 0, **changes: Any) -> Case:
    """Return an excursion of a trace as it is explained, one sample a second unless times are given."""
    trace = trace_of(values, chart.channel, changes.pop("times", None))
    data = engine_type(chart, **changes)
    return case_of(judge(trace, data).excursions[place], data, trace)


def reading(peak: float | None, seconds: float | None, chart: LimitChart = CHART) -> Case:
    found = judge_reading(chart, TypedReading(chart.name, chart.unit, peak, seconds), 1)
    assert found is not None
    return case_of(found, engine_type(chart), None)


CASES: dict[str, Case] = {
    "a step chart": case([690, 710, 730, 730, 710, 690]),
    "a long and low one": case([690] + [705] * 70 + [690]),
    "a plateau on a corner": case([690] + [720] * 20 + [690]),
    "by its peak": case([690, 730, 730, 690], replace(CHART, method="peak")),
    "a line between corners": case([690, 705, 712, 705, 690], replace(CHART, boundary="linear")),
    "the limit itself beyond": case([690, 700, 720, 700, 690], replace(CHART, on_boundary="beyond")),
    "a low limit": case([50, 35, 35, 50], LOW),
    "two stays in one": case([690, 710, 690, 710, 690], replace(CHART, rejoin_s=5)),
    "all of a run": case([690, 710, 690, 690, 710, 690], replace(CHART, accumulate="run")),
    "in another unit": case([1200, 1300, 1200], unit="degF"),
    "from the gauge": reading(730, 10),
    "with equal times": case([690, 710, 710, 690], times=[0, 1, 1, 2]),
    "in starts and stops": case([690, 710, 715, 690], replace(CHART, regimes=None)),
}


@pytest.mark.parametrize("name", CASES)
def test_the_area_shown_as_entered_is_the_verdicts(name: str) -> None:
    found = CASES[name]
    for shape, area_named in zip(found.shapes, (found.excursion.area, found.excursion.area_possible), strict=True):
        assert shape is not None
        entered = [check.area for check in checks_of(found.chart, shape) if check.is_entered]
        assert (entered[-1] if entered else None) == area_named


@pytest.mark.parametrize("name", CASES)
def test_the_time_short_is_the_verdicts_margin(name: str) -> None:
    found = CASES[name]
    margin, shape = found.excursion.margin, found.shapes[0]
    assert shape is not None
    if margin is not None and margin.seconds is not None:
        check = next(check for check in checks_of(found.chart, shape) if check.area == margin.next_area)
        assert -check.over_s == pytest.approx(margin.seconds, abs=1e-9)


@pytest.mark.parametrize("name", [name for name in CASES if name != "from the gauge"])
def test_the_samples_steps_add_up_to_the_time_beyond(name: str) -> None:
    samples = samples_of(CASES[name], 1)
    assert samples is not None
    assert samples.beyond_s.sum() == pytest.approx(CASES[name].excursion.seconds_above, abs=1e-9)
    assert samples.rows.tolist() == sorted(set(samples.rows.tolist()))
    assert peak_row(samples, CASES[name]) is not None


def test_samples_around_stop_at_the_ends_of_the_record() -> None:
    samples = samples_of(case([710, 690, 690, 690]), 2)
    assert samples is not None
    assert samples.rows.tolist() == [0, 1, 2]
    assert samples.values.tolist() == [710, 690, 690]
    assert samples.beyond_s.tolist() == [0.0, 0.5, 0.0]


def test_a_peak_that_no_sample_holds_has_no_row() -> None:
    found = CASES["a step chart"]
    samples = samples_of(found, 0)
    assert samples is not None
    unknown = replace(found, excursion=replace(found.excursion, peak=None))
    assert peak_row(samples, unknown) is None


def test_a_reading_has_no_samples() -> None:
    assert samples_of(CASES["from the gauge"], 5) is None
    assert CASES["from the gauge"].stays == CASES["from the gauge"].gaps == ()


def explained(values: list[float], chart: LimitChart = CHART, **changes: Any) -> Explanation:
    return explanation_of(case(values, chart, **changes))


def test_an_excursion_is_worked_through() -> None:
    said = explained([690, 710, 730, 730, 710, 690])
    assert said.seconds[0] == "0:00.500 to 0:04.500: 4 s"
    assert said.seconds[1] == "Together 4 s above 700 °C."
    assert "no more than 2 s apart" in said.seconds[2]
    assert said.peak == "The highest valid sample in the excursion is 730 °C."
    assert said.areas == (
        "Area A: 2 s above 720 °C, allowed no time: 2 s over, so it was entered.",
        "Area B: 2 s above 720 °C, allowed 5 s: 3 s short, so it was not entered.",
    )
    assert said.margin.startswith("30.0 °C or 3.0 s short of area B: so much more")
    assert said.assumed == (NOTHING_ASSUMED,)
    assert said.worst == ()


@pytest.mark.parametrize(
    ("values", "chart", "sentence"),
    [
        ([690] + [720] * 5 + [690], CHART, "Area B: no time above 720 °C, where it begins: not entered."),
        (
            [690, 730, 730, 690],
            replace(CHART, method="peak"),
            "Area B: 2.5 s, all of it taken to be at 730 °C, allowed 5 s: 2.5 s short, so it was not entered.",
        ),
        (
            [690, 710, 710, 690],
            replace(CHART, method="peak", boundary="linear"),
            "Area A: 2 s, all of it taken to be at 710 °C, allowed 30 s (on the line from 60 s at 700 °C to 0 s at "
            "720 °C): 28 s short, so it was not entered.",
        ),
        (
            [690, 715, 715, 690],
            replace(CHART, method="peak", boundary="linear", areas=(area("A", (700, 60), (710, 20), (720, 0)),)),
            "Area A: 2.2 s, all of it taken to be at 715 °C, allowed 10 s (on the line from 20 s at 710 °C to 0 s at "
            "720 °C): 7.8 s short, so it was not entered.",
        ),
        (
            [690, 720, 720, 690],
            replace(CHART, on_boundary="beyond"),
            "Area A: 1 s at or above 720 °C, allowed no time: 1 s over, so it was entered.",
        ),
        (
            [50, 30, 30, 30, 30, 30, 30, 50],
            replace(LOW, boundary="step"),
            "Area A: 6 s, all of it taken to be at 30 psi, allowed 5 s: 1 s over, so it was entered.",
        ),
        (
            [690, 700, 700, 700, 700, 700, 700, 690],
            replace(CHART, on_boundary="beyond", areas=(area("A", (700, 5)),)),
            "Area A: 5 s at or above 700 °C, allowed 5 s: exactly as much, so it was entered.",
        ),
    ],
)
def test_an_area_in_words(values: list[float], chart: LimitChart, sentence: str) -> None:
    assert sentence in explained(values, chart).areas


def test_a_chart_without_areas_says_so() -> None:
    said = explained([690, 710, 690], replace(CHART, areas=()))
    assert said.areas[0].startswith("The chart has no areas")
    assert said.margin == "There is no figure for it."


def test_no_more_severe_area_is_left() -> None:
    assert explained([690] + [765] * 9 + [690]).margin == "There is no more severe area."


def test_a_time_too_short_at_any_value_says_so() -> None:
    found = case([690, 710, 690], replace(CHART, areas=(area("A", (700, 60)),)))
    short = replace(found.excursion, margin=replace(found.excursion.margin, seconds=None, value=None))  # type: ignore[type-var]
    assert explanation_of(replace(found, excursion=short)).margin == "The time was too short for area A at any value."


def test_a_gap_is_assumed_to_be_spent_at_its_worse_end() -> None:
    said = explained([690, 730, 730, NAN, NAN, NAN, NAN, NAN, NAN, 690])
    assert said.assumed == (
        "Not observed from 0:02 to 0:09: at worst those 7 s were spent at 730 °C, the worse end of the gap.",
    )
    assert said.worst[1].startswith("Area B: ")
    assert said.worst[1].endswith("so it was entered.")
    assert "so it was not entered" in said.areas[1]


def test_a_tolerance_counts_against_the_engine_at_worst() -> None:
    said = explained([690, 699, 719, 690], tolerance=2)
    assert said.assumed == ("The instrument's tolerance of 2 °C is at worst added against every reading.",)
    assert said.worst[0].startswith("Area A: ")


def test_what_no_sample_proves_is_said_to_be_so() -> None:
    said = explained([690] + [699] * 4 + [719, 690], chart=replace(CHART, limit=720), tolerance=5)
    assert said.seconds == ("No sample proves any time above 720 °C.",)
    assert said.areas == ("No sample proves the excursion, so no area is proven to be entered.",)
    assert said.worst


def test_an_end_of_the_record_is_said() -> None:
    assert "It reaches the end of the record, so its true length is not known." in explained([690, 710, 710]).assumed


@pytest.mark.parametrize(
    ("peak", "seconds", "sentences"),
    [
        (730, 10, ["As written down from the gauge: 10 s.", "As written down from the gauge: 730 °C."]),
        (
            None,
            8,
            [
                "The peak is not known.",
                "The peak is not known: at worst it was beyond every value of the chart.",
                "Area B: 8 s, all of it taken to be at a value that is not known, allowed no time: 8 s over, "
                "so it was entered.",
            ],
        ),
        (
            730,
            None,
            [
                "As written down from the gauge: not known.",
                "The time is not known: at worst it was longer than any time allowed.",
                "Area B: a time that is not known, all of it taken to be at 730 °C, allowed 5 s: as long as may be, "
                "so it was entered.",
            ],
        ),
    ],
)
def test_a_reading_in_words(peak: float | None, seconds: float | None, sentences: list[str]) -> None:
    said = explanation_of(reading(peak, seconds))
    everything = (*said.seconds, said.peak, *said.areas, *said.assumed, *said.worst)
    assert set(sentences) <= set(everything)
    assert said.rules[1].startswith("Judged by the peak")


def test_without_its_trace_an_excursion_is_not_worked_through() -> None:
    found = case([690, 710, 690])
    data = engine_type(CHART)
    said = explanation_of(case_of(found.excursion, data, None))
    assert said.seconds == said.areas == (NO_EVIDENCE,)


def test_an_excursion_that_the_trace_no_longer_shows_is_not_found_in_it() -> None:
    trace, data = trace_of([690, 710, 690]), engine_type(CHART)
    stored: Excursion = replace(judge(trace, data).excursions[0], start_s=0.1, possible=7)
    found = case_of(stored, data, trace)
    assert (found.proven, found.possible, found.shapes) == (None, None, (None, None))


def test_the_rule_in_words() -> None:
    chart = replace(CHART, regimes=("running", "stopping"), rejoin_s=1, accumulate="run", boundary="linear")
    trace = trace_of([690, 710, 690])
    data = engine_type(chart)
    said = explanation_of(case_of(judge(trace, data).excursions[0], data, trace)).rules
    assert said[0] == "The limit is 700 °C; what is above it counts, while running or stopping."
    assert "Stretches no more than 1 s apart count as one excursion." in said
    assert "All stretches of one run count together." in said
    assert "Between two corners of an area the allowed time runs in a straight line." in said
    assert explained([690, 710, 690]).rules[0].endswith("over the whole record.")


def test_a_value_in_another_unit_says_what_it_was_recorded_in() -> None:
    assert explained([1200, 1300, 1200], unit="degF").peak.endswith(", recorded in °F.")


def test_check_words_name_a_plateau_just_reached() -> None:
    shape = case([690] + [720] * 20 + [690], replace(CHART, boundary="linear")).shapes[0]
    assert shape is not None
    said = [check_words(check, CHART) for check in checks_of(replace(CHART, boundary="linear"), shape)]
    assert said[0].startswith("Area A: 19 s at or above 720 °C, allowed")

from typing import Any

import numpy as np
import pytest

from engines.charts import Channel, LimitChart
from engines.traces import Trace
from inspections.drawing.facts import (
    area_words,
    beyond_word,
    caption_of,
    facts_in_order,
    facts_of,
    margin_words,
    possible_only,
    sentence_of,
)
from inspections.verdict import Excursion, Margin
from tests.inspections.drawing.cases import ITT, LOW_OIL, OIL, RUNNING, excursion, flight

HOT = "Interstage turbine temperature was above 700 °C for 70.7 s, peak 718 °C"
A = "area A, which calls for: Find and correct the cause; record it."
WORST = "at worst area B, which calls for: Hot section inspection."
ONLY_POSSIBLE: dict[str, Any] = {"area": None, "area_possible": "B", "margin": None, "seconds_above": 0.0}


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({}, f"{HOT}: {A}"),
        (
            {"area": None, "area_possible": None, "margin": Margin("A", 1.3, 2.0)},
            f"{HOT}: no area entered; 2.0 °C or 1.3 s short of area A.",
        ),
        ({"area": None, "area_possible": None, "margin": Margin("A", None, None)}, f"{HOT}: no area entered."),
        ({"area_possible": "B"}, f"{HOT}: {A} The record has a gap: {WORST}"),
        (
            {"area": None, "area_possible": "B", "margin": Margin("A", 0.04, None)},
            f"{HOT}: no area proven; 0.04 s short of area A. The record has a gap: {WORST}",
        ),
        (
            {"open_ended": True},
            f"{HOT}: {A} It was still above at the end of the record, or already at its start; "
            "its true length is not known.",
        ),
        (
            {**ONLY_POSSIBLE, "peak": 690.0},
            "Interstage turbine temperature may have been above 700 °C from 17:02.4 to 18:13.1, but no sample proves "
            f"it; the highest reading there was 690 °C. The record has a gap: {WORST}",
        ),
        (
            {**ONLY_POSSIBLE, "peak": None},
            "Interstage turbine temperature may have been above 700 °C from 17:02.4 to 18:13.1, but no sample proves "
            f"it. The record has a gap: {WORST}",
        ),
        (
            {"evidence": "reading", "start_s": None, "end_s": None, "peak": None, "area": None, "area_possible": "B"},
            "Interstage turbine temperature was above 700 °C for 70.7 s: no area proven; 2.0 °C short of area B. "
            f"Its peak or its time is not known: {WORST}",
        ),
        (
            {"evidence": "reading", "start_s": None, "seconds_above": None, "margin": None, "area_possible": "B"},
            f"{HOT.replace(' for 70.7 s', '')}: {A} Its peak or its time is not known: {WORST}",
        ),
        ({"peak": 700.04, "seconds_above": 60.001}, f"{HOT}: {A}".replace("70.7", "60.001").replace("718", "700.04")),
    ],
)
def test_the_verdict_is_a_sentence(changes: dict[str, Any], sentence: str) -> None:
    assert sentence_of(excursion(**changes), RUNNING, ITT) == sentence


@pytest.mark.parametrize(
    ("record", "words"),
    [
        ((1022.4, 2000.0), "It was already above at the start of the record; its true length is not known."),
        ((0.0, 1093.1), "It was still above at the end of the record; its true length is not known."),
        ((1022.4, 1093.1), "It was above from the start of the record to its end; its true length is not known."),
    ],
)
def test_the_sentence_says_which_end_is_cut(record: tuple[float, float], words: str) -> None:
    assert sentence_of(excursion(open_ended=True), RUNNING, ITT, record).endswith(words)


def test_a_tolerance_is_named_beside_gaps() -> None:
    channel = Channel("itt", "ITT", "degC", tolerance=2.5)
    sentence = sentence_of(excursion(area_possible="B"), RUNNING, channel)
    assert "With gaps in the record and the instrument's tolerance of 2.5 °C counted against it: at worst" in sentence


def test_without_its_channel_the_name_stands() -> None:
    assert sentence_of(excursion(), RUNNING).startswith("itt was above 700 °C")


def low(**changes: Any) -> Any:
    low_side = {"chart": LOW_OIL.name, "channel": "oil_press", "unit": "psi", "side": "below", "peak": 43.1}
    return excursion(**{**low_side, "levels": (), "area": "B", "area_possible": "B", "margin": None, **changes})


def test_low_limits_read_downward() -> None:
    assert beyond_word(LOW_OIL) == "at or below"
    assert sentence_of(low(), LOW_OIL, OIL).startswith(
        "Oil pressure was at or below 60 psi for 70.7 s, lowest 43.1 psi: area B"
    )
    possible = low(**ONLY_POSSIBLE, start_s=None)
    assert sentence_of(possible, LOW_OIL, OIL).startswith(
        "Oil pressure may have been at or below 60 psi, but no sample proves it; the lowest reading there was 43.1 psi."
    )


def test_the_table_repeats_every_fact() -> None:
    (facts,) = facts_of(RUNNING, [excursion(), low()], ITT)
    assert facts == {
        "Measured": "Interstage turbine temperature",
        "Limit": "700 °C (ITT, running)",
        "From": "17:02.4",
        "To": "18:13.1",
        "Time above the limit": "70.7 s",
        "Peak": "718 °C",
        "Time above each level": "700 °C: 70.7 s; 720 °C: 0 s; 760 °C: 0 s",
        "Area": "A",
        "Area at worst": "A",
        "Short of the next area": "2.0 °C short of area B",
        "Called for": "Find and correct the cause; record it",
        "Judged by": "the time above each value",
        "Source of the limit": "invented for the tests",
    }


def test_the_table_says_what_is_not_known() -> None:
    unknown = low(
        start_s=None, end_s=None, peak=None, seconds_above=None, area=None, area_possible=None, evidence="reading"
    )
    (facts,) = facts_of(LOW_OIL, [unknown])
    assert facts == {
        "Measured": "oil_press",
        "Limit": "60 psi (Oil pressure, running)",
        "From": "not recorded",
        "To": "not recorded",
        "Time at or below the limit": "not known",
        "Lowest": "not known",
        "Time at or below each level": "not known",
        "Area": "none",
        "Area at worst": "none",
        "Short of the next area": "not known",
        "Called for": "nothing",
        "Judged by": "the whole time taken to be at the peak",
        "Source of the limit": "not recorded",
    }


def test_the_table_says_when_a_time_is_a_least_one_and_when_no_area_is_more_severe() -> None:
    (facts,) = facts_of(LOW_OIL, [low(open_ended=True)])
    assert (facts["Time at or below the limit"], facts["Short of the next area"]) == (
        "70.7 s or more",
        "none is more severe",
    )
    (facts,) = facts_of(RUNNING, [excursion(margin=Margin("B", None, None))])
    assert facts["Short of the next area"] == "too short for area B at any value"


@pytest.mark.parametrize(
    ("area", "possible", "words"),
    [
        (None, None, "no area entered"),
        ("A", "A", "area A"),
        ("A", "B", "area A, at worst area B"),
        (None, "B", "no area proven, at worst area B"),
    ],
)
def test_areas_in_words(area: str | None, possible: str | None, words: str) -> None:
    assert area_words(excursion(area=area, area_possible=possible)) == words


def test_what_no_sample_proves_is_told_from_what_one_does() -> None:
    assert possible_only(excursion(**ONLY_POSSIBLE))
    assert not possible_only(excursion(**{**ONLY_POSSIBLE, "evidence": "reading"}))
    assert not possible_only(excursion())
    assert margin_words(excursion(**ONLY_POSSIBLE)) is None


def test_the_caption_counts_samples_rate_and_gaps() -> None:
    assert caption_of(flight(), "itt", 1) == "2,377 samples, 1.0 per second, 1 gap"
    quick = Trace(np.arange(0, 1, 1 / 16), {"itt": np.ones(16)})
    assert caption_of(quick, "itt", 0) == "16 samples, 16.0 per second, 0 gaps"
    assert caption_of(Trace(np.zeros(1), {"itt": np.ones(1)}), "itt", 0) == "1 sample, 0 gaps"


def test_no_sentence_says_what_may_be_flown() -> None:
    said = sentence_of(excursion(area_possible="B", open_ended=True), RUNNING, ITT) + str(
        facts_of(RUNNING, [excursion()])
    )
    assert "airworthy" not in said.lower()


@pytest.mark.parametrize(("chart", "case"), [(RUNNING, excursion()), (LOW_OIL, low())])
def test_facts_that_were_kept_sorted_are_read_in_their_order(chart: LimitChart, case: Excursion) -> None:
    (facts,) = facts_of(chart, [case])
    kept = dict(sorted((facts | {"Another": "text"}).items()))
    assert facts_in_order(kept) == [*facts.items(), ("Another", "text")]

"""The words that 14 CFR 43.2 keeps, and a record from zero time by 14 CFR 91.421."""

import dataclasses

import pytest

from logbook.statements.words import AGENCY, MANUFACTURER, STEPS, OverhaulFacts, ZeroTime, word_faults, zero_time_faults

OVERHAUL = OverhaulFacts(frozenset(STEPS), "Invented overhaul manual 7, test 72-00")
REBUILD = dataclasses.replace(OVERHAUL, new_limits=True)
ZERO = ZeroTime(MANUFACTURER, "Testbird Motors (invented)", "2026-01-05", ["TB-AD 1"], [])


@pytest.mark.parametrize("step", sorted(STEPS))
def test_R_43_2_a_every_step_is_recorded_first(step: str) -> None:
    lacking = dataclasses.replace(OVERHAUL, steps=OVERHAUL.steps - {step})
    faults = word_faults("The engine was overhauled.", lacking)
    assert faults == {"overhauled": f"“Overhauled” may be written only when it is recorded as {STEPS[step]}."}


def test_R_43_2_a_the_test_has_a_reference() -> None:
    assert list(word_faults("OVERHAULED", dataclasses.replace(OVERHAUL, test_reference=" "))) == ["overhauled"]
    assert word_faults("OVERHAULED", OVERHAUL) == {}


@pytest.mark.parametrize("text", ["Rebuilt.", "It was re-built."])
def test_R_43_2_b_rebuilt_needs_the_limits_of_a_new_item(text: str) -> None:
    faults = word_faults(text, OVERHAUL)
    words = "“Rebuilt” may be written only when it is recorded as done to the tolerances and limits of a new item."
    assert faults == {"rebuilt": words}
    assert word_faults(text, REBUILD) == {}
    assert "tested" in word_faults(text, OverhaulFacts())["rebuilt"]


@pytest.mark.parametrize(
    "text", ["Not overhauled.", "never rebuilt", "400 h since overhaul", "overhaul due at 3000 h", "Nozzle changed"]
)
def test_R_43_2_other_words_are_free(text: str) -> None:
    assert word_faults(text, OverhaulFacts()) == {}


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"granted_by": "shop"}, "granted_by"),
        ({"name": " "}, "granted_name"),
        ({"signed_on": ""}, "granted_on"),
        ({"directives": None}, "directives"),
        ({"bulletins": None}, "bulletins"),
    ],
)
def test_R_91_421_zero_time_is_granted_with_its_particulars(change: dict[str, object], field: str) -> None:
    assert list(zero_time_faults(dataclasses.replace(ZERO, **change))) == [field]


def test_R_91_421_manufacturer_or_agency_may_grant_it() -> None:
    assert zero_time_faults(ZERO) == {}
    assert zero_time_faults(dataclasses.replace(ZERO, granted_by=AGENCY)) == {}

"""Which inspection programme is open to which aircraft, held against 14 CFR 91.409.

Paragraph (e), and that a rotorcraft may elect (a) to (d), were read in the 2019 edition of 14 CFR (volume 2, page 766);
the numbers of the options under (c) and (f) are from memory.
"""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from engines.programmes import (
    AIRCRAFT,
    MULTI,
    OPTIONS,
    ROTORCRAFT,
    SINGLE,
    Selection,
    options_for,
    selection_faults,
    shown_against,
)

TODAY = date(2026, 5, 4)
CHOSEN = Selection("TB-99", MULTI, "maker", TODAY, "Programme for twins (invented)", "4", "Test Owner, Testholm")
SMALL = {"annual", "progressive", "operations"}
SELECTED = {"continuous", "approved", "maker", "owner"}


@pytest.mark.parametrize(
    ("kind", "open_to_it"),
    [(SINGLE, SMALL | {"other"}), (MULTI, SELECTED | {"other"}), (ROTORCRAFT, SMALL | SELECTED | {"other"})],
)
def test_what_is_open_to_a_kind_of_aircraft(kind: str, open_to_it: set[str]) -> None:
    """14 CFR 91.409(e): a rotorcraft may elect (a) to (d) instead; a twin may not."""
    assert set(options_for(kind)) == open_to_it
    assert all(OPTIONS[name].title == words for name, words in options_for(kind).items())


def test_a_kind_that_is_not_known_has_no_option() -> None:
    assert options_for("glider") == {}


def test_a_whole_selection_has_no_fault() -> None:
    assert selection_faults(CHOSEN, TODAY) == {}
    annual = Selection("TB-1", SINGLE, "annual", TODAY)
    assert selection_faults(annual, TODAY) == {}


@pytest.mark.parametrize(
    ("changes", "field", "said"),
    [
        ({"aircraft": " "}, "aircraft", "Name the aircraft"),
        ({"kind": "glider"}, "kind", "Single-engine turbine aeroplane; Multi-engine turboprop aeroplane"),
        ({"from_on": date(2026, 5, 5)}, "from_on", "still to come"),
        (
            {"option": "annual"},
            "option",
            "Multi-engine turboprop aeroplane: choose one under 14 CFR 91.409(f)(1), 91.409(f)(2)",
        ),
        ({"option": "nothing"}, "option", "91.409(f)(3)"),
        ({"kind": "glider", "option": "nothing"}, "option", "Choose by what"),
        ({"title": ""}, "title", "Name the programme"),
        ({"revision": ""}, "revision", "Give the revision"),
        ({"responsible": ""}, "responsible", "name and address of who schedules"),
    ],
)
def test_what_is_wrong_is_said_where_it_is(changes: dict[str, Any], field: str, said: str) -> None:
    """14 CFR 91.409(f) asks that the programme names who schedules its inspections."""
    faults = selection_faults(replace(CHOSEN, **changes), TODAY)
    assert said in faults[field]
    assert set(faults) <= {*changes}


def test_who_schedules_is_asked_only_under_f() -> None:
    other = replace(CHOSEN, option="other", responsible="")
    assert selection_faults(other, TODAY) == {}


def test_a_kind_that_is_not_known_stands_beside_the_other_faults() -> None:
    faults = selection_faults(replace(CHOSEN, kind="glider", title=""), TODAY)
    assert set(faults) == {"kind", "title"}


def test_what_stands_against_it_is_no_programme_and_a_spent_life() -> None:
    """14 CFR 91.409(e): replacement times complied with, and a programme selected."""
    assert shown_against(CHOSEN, []) == []
    assert shown_against(None, ["RB-1 7, 100 cycles"]) == [
        "No inspection programme is selected for the aircraft of this engine.",
        "Past its replacement time: RB-1 7, 100 cycles.",
    ]


def test_every_option_is_open_to_something_and_says_its_rule() -> None:
    assert all(option.kinds <= set(AIRCRAFT) and option.kinds and option.rule for option in OPTIONS.values())

"""Checks before a start: read from a type's document, and judged as they were answered."""

from typing import Any

import pytest

from engines.documents import engine_type_read
from engines.errors import DocumentError
from engines.start_checks import NOT_SO, SO, Answer, Check, answer_text, out_of_place
from tests.engines.starts_kit import document_with

LISTED: list[dict[str, Any]] = [
    {"name": "Levers and fuel off"},
    {"name": "Outside air", "unit": "degC"},
    {"name": "Temperature at rest", "unit": "degC", "near": "Outside air", "within": 30, "most": 150},
    {"name": "Battery at rest", "unit": "V", "least": 25},
]


def checks(*listed: dict[str, Any]) -> tuple[Check, ...]:
    document = document_with(None, checks={"before_start": list(listed or LISTED), "source": "invented"})
    found = engine_type_read(document).checks
    assert found is not None
    assert found.source == "invented"
    return found.checks


def test_a_type_may_state_none() -> None:
    assert engine_type_read(document_with(None)).checks is None


def test_what_is_asked_for_is_said_in_words() -> None:
    assert [check.asked for check in checks()] == [
        "", "", "no more than 150 °C, within 30 °C of “Outside air”", "at least 25 V",
    ]  # fmt: skip


# Common practice, no published source: more than 25 V on a 28 V system at rest is good.
@pytest.mark.parametrize(("volts", "wrong"), [(25.4, {}), (25.0, {}), (24.9, {3})])
def test_a_battery_below_its_floor_is_out_of_place(volts: float, wrong: set[int]) -> None:
    assert set(out_of_place(checks(), [SO, 20.0, 30.0, volts])) == set(wrong)


@pytest.mark.parametrize(
    ("answers", "found"),
    [
        ([SO, 20.0, 50.0, 26.0], {}),
        ([NOT_SO, 20.0, 50.0, 26.0], {0: "Levers and fuel off: not as it should be."}),
        ([SO, None, 20.0, 26.0], {1: "Outside air: not checked.", 2: "Temperature at rest: 20 °C; the type asks for"}),
        ([SO, 20.0, 50.1, 26.0], {2: "Temperature at rest: 50.1 °C; the type asks for no more than 150 °C, within"}),
        ([SO, 140.0, 151.0, 26.0], {2: "Temperature at rest: 151 °C"}),
        ([SO, 20.0, 50.0, None], {3: "Battery at rest: not checked."}),
    ],
)
def test_what_is_out_of_place_is_named_with_what_is_asked_for(answers: list[Answer], found: dict[int, str]) -> None:
    wrong = out_of_place(checks(), answers)
    assert list(wrong) == list(found)
    for place, words in found.items():
        assert wrong[place].startswith(words)


def test_answers_in_words() -> None:
    levers, _, _, battery = checks()
    assert answer_text(levers, SO) == "as it should be"
    assert answer_text(battery, 24.6) == "24.6 V"


@pytest.mark.parametrize(
    ("listed", "path", "words"),
    [
        ([], "checks.before_start", "must not be empty"),
        ([{"name": f"Check {k}"} for k in range(61)], "checks.before_start", "more than 60"),
        ([{"name": "A"}, {"name": "A"}], "checks.before_start[1].name", "used twice"),
        ([{"name": "A", "unit": "zorkmid"}], "checks.before_start[0].unit", "is not a unit"),
        ([{"name": "A", "least": 1}], "checks.before_start[0].least", "give the check a unit"),
        ([{"name": "A", "unit": "V", "near": "B"}], "checks.before_start[0].within", "go together"),
        ([{"name": "A", "unit": "V", "near": "B", "within": 1}], "checks.before_start[0].near", "stands before this"),
        ([{"name": "A", "bound": 1}], "checks.before_start[0].bound", "is not known here"),
    ],
)
def test_faults_are_named_by_their_path(listed: list[dict[str, Any]], path: str, words: str) -> None:
    with pytest.raises(DocumentError) as refused:
        engine_type_read(document_with(None, checks={"before_start": listed}))
    assert words in refused.value.fields[path]

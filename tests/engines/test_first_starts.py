"""The first-start plan: read from a type's document, and how far what was recorded has brought it.

The order of the steps (manual fuel, transfer, repeat until it transfers cleanly, automatic start, leak check) is
common practice, with no published source; every name and number here is invented.
"""

from datetime import date
from typing import Any

import pytest

from engines.documents import engine_type_read
from engines.errors import DocumentError
from engines.first_starts import (
    BY_HAND,
    ENGINE_FITTED,
    PART_FITTED,
    STOOD,
    TASK_DONE,
    FirstStartRules,
    Line,
    Trigger,
    progress_of,
    stood_too_long,
    stood_words,
)
from tests.documents import type_document
from tests.engines.first_starts_kit import (
    AUTOMATIC,
    CLEAN,
    DRY,
    FIRST_START,
    FLAME_OUT,
    LEAKS,
    MANUAL,
    STARTED,
    UNLIT,
    first_start_document,
)

GOOD = "As it should be"


def rules() -> FirstStartRules:
    found = engine_type_read(first_start_document()).first_start
    assert found is not None
    return found


def test_it_is_read_from_the_document() -> None:
    found = rules()
    assert [step.name for step in found.steps] == [DRY, MANUAL, AUTOMATIC, LEAKS]
    assert [step.run_kind for step in found.steps] == ["dry_motoring", "first_start", "first_start", ""]
    assert (found.steps[1].in_a_row, found.steps[0].in_a_row, found.source) == (2, 1, "invented for the tests")
    assert [ending.name for ending in found.steps[0].endings] == [GOOD, "Not as it should be"]
    assert found.stood_days == 30
    assert found.asked_after(PART_FITTED, ["Gas generator", "Fuel control"]) == Trigger(PART_FITTED, "Fuel control")
    assert found.asked_after(PART_FITTED, ["Gas generator"]) is None
    assert found.asked_after(ENGINE_FITTED) == Trigger(ENGINE_FITTED)
    assert FirstStartRules((), ()).stood_days is None
    assert engine_type_read(type_document()).first_start is None


@pytest.mark.parametrize(
    ("trigger", "words"),
    [
        (Trigger(PART_FITTED, "Fuel control"), "A part was fitted at “Fuel control”"),
        (Trigger(ENGINE_FITTED), "The engine was fitted, or came from another owner"),
        (Trigger(TASK_DONE, "Return"), "“Return” was done"),
        (Trigger(STOOD, days=30), "The engine stood longer than 30 days"),
        (Trigger(BY_HAND, "Fuel system bled"), "Fuel system bled"),
    ],
)
def test_what_happened_is_said_in_words(trigger: Trigger, words: str) -> None:
    assert trigger.words == words


@pytest.mark.parametrize(
    ("lines", "done", "in_a_row", "turn"),
    [
        ([], 0, 0, DRY),
        ([(DRY, GOOD)], 1, 0, MANUAL),
        ([(DRY, "Not as it should be")], 0, 0, DRY),
        # Twice in a row is asked for: one is not enough, and a flame-out between two begins the count again.
        ([(DRY, GOOD), (MANUAL, CLEAN)], 1, 1, MANUAL),
        ([(DRY, GOOD), (MANUAL, CLEAN), (MANUAL, FLAME_OUT), (MANUAL, CLEAN)], 1, 1, MANUAL),
        ([(DRY, GOOD), (MANUAL, CLEAN), (MANUAL, CLEAN)], 2, 0, AUTOMATIC),
        # No light-off asks for the motoring run again; a flame-out of the automatic start for the manual one.
        ([(DRY, GOOD), (MANUAL, UNLIT)], 0, 0, DRY),
        ([(DRY, GOOD), (MANUAL, CLEAN), (MANUAL, CLEAN), (AUTOMATIC, "Flame-out")], 1, 0, MANUAL),
        # A line of a step that was not in turn, or of an ending that the step has not, counts for nothing.
        ([(MANUAL, CLEAN), (DRY, "Blown"), (DRY, GOOD)], 1, 0, MANUAL),
        ([(DRY, GOOD), (MANUAL, CLEAN), (MANUAL, CLEAN), (AUTOMATIC, STARTED), (LEAKS, GOOD)], 4, 0, None),
        ([(DRY, GOOD), (MANUAL, CLEAN), (MANUAL, CLEAN), (AUTOMATIC, STARTED), (LEAKS, GOOD), (DRY, GOOD)], 4, 0, None),
    ],
)
def test_a_plan_goes_on_from_step_to_step(
    lines: list[tuple[str, str]], done: int, in_a_row: int, turn: str | None
) -> None:
    found = progress_of(rules(), [Line(*line) for line in lines])
    assert (found.done, found.in_a_row) == (done, in_a_row)
    assert (found.step.name if found.step else None) == turn


def test_how_far_it_has_come_is_said_in_words() -> None:
    begun = [Line(DRY, GOOD), Line(MANUAL, CLEAN)]
    assert progress_of(rules(), []).words == f"step 1 of 4 is in turn: {DRY}"
    assert progress_of(rules(), begun).words == f"step 2 of 4 is in turn: {MANUAL}, 1 of 2 in a row"
    whole = [*begun, Line(MANUAL, CLEAN), Line(AUTOMATIC, STARTED), Line(LEAKS, GOOD)]
    assert progress_of(rules(), whole).words == "every step is done, and it is to be signed"
    last = progress_of(rules(), [Line(DRY, GOOD), Line(MANUAL, FLAME_OUT)]).last
    assert last is not None
    assert last.then == "Shut down and repeat."


@pytest.mark.parametrize(
    ("ran", "days", "stood"),
    [
        (date(2026, 5, 1), 30, None),  # 31 May: thirty days are not longer than thirty
        (date(2026, 4, 30), 30, 31),
        (None, 30, None),
        (date(2020, 1, 1), None, None),
    ],
)
def test_standing_counts_from_the_last_run(ran: date | None, days: int | None, stood: int | None) -> None:
    assert stood_too_long(ran, date(2026, 5, 31), days) == stood


def test_standing_is_said_in_words() -> None:
    assert stood_words(31, 30) == "It has stood for 31 days, and its type asks for a first start after more than 30"


STEP: dict[str, Any] = {"name": "Start"}
TRIGGER: dict[str, Any] = {"when": "engine_fitted"}


def ends(*endings: dict[str, Any], **step: Any) -> dict[str, Any]:
    """Return the changes of a document with one step that may end in some ways."""
    return {"steps": [{**STEP, **step, "endings": list(endings)}]}


GOOD_END, BAD_END = {"name": "Good", "done": True}, {"name": "Bad"}


@pytest.mark.parametrize(
    ("changes", "path"),
    [
        ({"steps": []}, "first_start.steps"),
        ({"triggers": []}, "first_start.triggers"),
        ({"steps": [STEP] * 2}, "first_start.steps[1].name"),
        ({"steps": [{"name": f"Step {k}"} for k in range(21)]}, "first_start.steps"),
        ({"triggers": [TRIGGER] * 21}, "first_start.triggers"),
        ({"triggers": [{"when": "stood", "days": 5}, {"when": "stood", "days": 6}]}, "first_start.triggers"),
        ({"triggers": [{"when": "part_fitted", "position": "Tail"}]}, "first_start.triggers[0].position"),
        ({"triggers": [{"when": "task_done"}]}, "first_start.triggers[0].task"),
        ({"triggers": [{"when": "stood", "days": 0}]}, "first_start.triggers[0].days"),
        ({"triggers": [{"when": "engine_fitted", "days": 3}]}, "first_start.triggers[0].days"),
        ({"triggers": [{"when": "sometimes"}]}, "first_start.triggers[0].when"),
        ({"steps": [{"name": "Start", "kind": "wave"}]}, "first_start.steps[0].kind"),
        ({"steps": [{"name": "Start", "in_a_row": 11}]}, "first_start.steps[0].in_a_row"),
        (ends(GOOD_END, {"name": "Good"}), "first_start.steps[0].endings[1].name"),
        (ends(BAD_END, {"name": "Worse"}), "first_start.steps[0].endings"),
        (ends(GOOD_END, {"name": "Bad", "again_from": "Later"}), "first_start.steps[0].endings[1].again_from"),
        (ends({**GOOD_END, "again_from": "Start"}, BAD_END), "first_start.steps[0].endings[0].again_from"),
        (ends({**GOOD_END, "lit": True}, BAD_END, kind="check"), "first_start.steps[0].endings[0].lit"),
        ({"speed": 3}, "first_start.speed"),
    ],
)
def test_faults_are_named_by_their_path(changes: dict[str, Any], path: str) -> None:
    with pytest.raises(DocumentError) as refused:
        engine_type_read(first_start_document(**changes))
    assert path in refused.value.fields


def test_a_trigger_says_when() -> None:
    with pytest.raises(DocumentError) as refused:
        engine_type_read(first_start_document(triggers=[{"position": "Fuel control"}]))
    assert refused.value.fields["first_start.triggers[0].when"].startswith("is missing; it is one of part_fitted")
    with pytest.raises(DocumentError) as none:
        engine_type_read(type_document(first_start=FIRST_START))
    assert "there are none" in none.value.fields["first_start.triggers[0].position"]


def test_what_motoring_counts_for_is_read() -> None:
    assert engine_type_read(type_document()).motoring_counts == ()
    assert engine_type_read(type_document(motoring={"counts": ["starts"]})).motoring_counts == ("starts",)
    with pytest.raises(DocumentError) as refused:
        engine_type_read(type_document(motoring={"counts": ["laps"]}))
    assert list(refused.value.fields) == ["motoring.counts"]

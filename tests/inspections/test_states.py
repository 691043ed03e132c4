"""The life of an inspection."""

from datetime import date

import pytest

from inspections import states
from inspections.closing import Closing, WorkState, faults_of, statement_of


def test_every_state_has_a_label_and_moves_to_states_only() -> None:
    assert set(states.MOVES) == set(states.LABELS)
    assert {to for moves in states.MOVES.values() for to in moves} <= set(states.LABELS)


@pytest.mark.parametrize(
    ("state", "to", "allowed"),
    [("open", "in_work", True), ("not_approved", "in_work", True), ("approved", "in_work", False)],
)
def test_moves(state: str, to: str, allowed: bool) -> None:
    assert states.may_move(state, to) is allowed


@pytest.mark.parametrize(
    ("state", "before_flight", "holds"),
    [
        ("open", True, True), ("in_work", True, True), ("open", False, False), ("approved", True, False),
        ("not_approved", False, True), ("not_approved", True, True),
    ],
)  # fmt: skip
def test_what_holds_an_engine(state: str, before_flight: bool, holds: bool) -> None:
    assert states.holds_engine(state, before_next_flight=before_flight) is holds


DONE = WorkState((), (), 0, (), needs_second=False, has_second=False, run_on=date(2026, 3, 1), today=date(2026, 3, 9))
GOOD = Closing("approved", "Looked at all of it", date(2026, 3, 5), "Invented certificate", "T-1", "A. Tester")


def closing(**changes: object) -> Closing:
    return Closing(**(vars(GOOD) | changes))  # type: ignore[arg-type]


def work(**changes: object) -> WorkState:
    return WorkState(**(vars(DONE) | changes))  # type: ignore[arg-type]


def test_nothing_stands_against_an_inspection_that_is_done() -> None:
    assert faults_of(GOOD, DONE) == {}
    refused = closing(outcome="not_approved", given_to="The owner")
    assert faults_of(refused, work(findings=1, unanswered=("Look",))) == {}


@pytest.mark.parametrize(
    ("change", "state", "field"),
    [
        ({"outcome": ""}, {}, "outcome"),
        ({"extent": " "}, {}, "extent"),
        ({"certificate_number": ""}, {}, "certificate"),
        ({"completed_on": date(2026, 2, 28)}, {}, "completed_on"),
        ({"completed_on": date(2026, 3, 10)}, {}, "completed_on"),
        ({}, {"unanswered": ("Look",)}, "steps"),
        ({}, {"not_done": ("Look",)}, "steps"),
        ({}, {"findings": 1, "findings_without_action": ("Crack",)}, "findings"),
        ({}, {"needs_second": True}, "second"),
        ({"outcome": "not_approved", "given_to": "The owner"}, {}, "findings"),
        ({"outcome": "not_approved"}, {"findings": 1}, "given_to"),
    ],
)
def test_what_stands_against_ending_an_inspection(
    change: dict[str, object], state: dict[str, object], field: str
) -> None:
    assert list(faults_of(closing(**change), work(**state))) == [field]


def test_the_statement_speaks_for_the_work_described_only() -> None:
    words = {"engine": "T-100", "inspection": "Hot section inspection", "basis": "ITT, area B", "hours": "812.4"}
    approved = statement_of(GOOD, **words)
    assert "engine T-100 was inspected on 2026-03-05, at 812.4 h run time: Hot section inspection" in approved
    assert approved.endswith("In respect of the work described here it is approved for return to service.")
    refused = statement_of(closing(outcome="not_approved", given_to=" The owner "), **words)
    assert "list of discrepancies dated 2026-03-05 has been given to The owner." in refused
    assert refused.endswith("It is not approved for return to service.")

"""What entries have to hold: 14 CFR 43.5, 43.9, 43.11, 43.15, 91.405, 91.407; AMC M.A.801(f); 145.A.50."""

import dataclasses
from datetime import date
from typing import Any

import pytest

from logbook.statements.coverage import Hands
from logbook.statements.elements import CANADA, EASA, INSPECTED, REFUSED, US, US_PROGRAMME
from logbook.statements.required import (
    ANSWERS,
    NOT_DONE,
    REPAIRED,
    Discrepancy,
    InspectionFacts,
    Reference,
    WorkFacts,
    inspection_faults,
    work_faults,
)

TODAY = date(2026, 11, 25)
WORK = WorkFacts(
    description="Fuel nozzle 3 changed",
    data=Reference("Invented maintenance manual 72-00", "9", "task 4"),
    completed_on=TODAY,
    hands=Hands(("Tamsin Vale",)),
    is_major=False,
    limitations="",
    incomplete="",
    has_done_before=True,
)
FOUND = Discrepancy("Oil leak at the gearbox", "Invented manual 72-00, no leak allowed")
DEFERRED = Discrepancy("Second oil lamp out", "Equipment list", True, "Invented list item 7", "Ivo Sand", "2026-11-25")
DONE = InspectionFacts(
    kind="100-hour inspection",
    extent="Whole engine by checklist 7",
    completed_on=TODAY,
    hours_s=3_600_000,
    is_approved=True,
    has_checklist=True,
    run_after="Power, oil and speeds within the maker's figures",
)
NOT = dataclasses.replace(
    DONE, is_approved=False, discrepancies=(FOUND,), list_date=TODAY, recipient="Testholm Flying Service", run_after=""
)

LACKING: dict[str, tuple[dict[str, Any], str, str]] = {
    "R_43_9_a_1": ({"description": " ", "data": Reference()}, US, "description"),
    "R_43_9_a_2": ({"completed_on": None}, US, "completed_on"),
    "R_43_9_a_2_still_to_come": ({"completed_on": date(2026, 11, 26)}, US, "completed_on"),
    "R_43_13_a": ({"data": Reference("Manual", "", "task 4")}, US, "data_revision"),
    "R_43_9_d_unsaid": ({"is_major": None}, US, "is_major"),
    "R_43_9_d": ({"is_major": True}, US, "form_reference"),
    "R_43_5_b": ({"is_major": True, "form_reference": " "}, EASA, "form_reference"),
    "R_43_5_c": ({"limits_changed": True}, US, "limits_reference"),
    "R_91_407_b": ({"needs_flight_check": True}, US, "flight_check"),
    "R_145_50_a": ({"overdue": ("TB-AD 1",)}, EASA, "justification"),
    "R_65_81": ({"has_done_before": False}, US, "has_done_before"),
    "R_65_81_programme": ({"has_done_before": False}, US_PROGRAMME, "has_done_before"),
    "R_CRS_4": ({"limitations": None}, EASA, "limitations"),
    "R_145_50_e": ({"incomplete": None}, EASA, "incomplete"),
    "R_145_50_c": ({"incomplete": "Cowl seal to be fitted"}, EASA, "agreed_with"),
    "R_43_3_d": ({"hands": Hands(helpers=("Maren Lo",))}, US, "helpers"),
    "R_135_429_c": ({"is_required_item": True}, US, "second"),
    "R_43_2_a": ({"description": "Fuel pump overhauled"}, US, "description"),
}


def faults_of(facts: WorkFacts, ruleset: str) -> dict[str, str]:
    return work_faults(facts, ruleset=ruleset, signer="Maren Lo", today=TODAY)


@pytest.mark.parametrize("ruleset", [US, US_PROGRAMME, EASA, CANADA])
def test_work_that_says_all_may_be_signed(ruleset: str) -> None:
    assert faults_of(WORK, ruleset) == {}


@pytest.mark.parametrize(("change", "ruleset", "field"), LACKING.values(), ids=LACKING)
def test_work_that_lacks_something_is_refused_by_name(change: dict[str, Any], ruleset: str, field: str) -> None:
    assert list(faults_of(dataclasses.replace(WORK, **change), ruleset)) == [field]


MET: dict[str, tuple[dict[str, Any], str]] = {
    "R_43_9_a_1_data_alone": ({"description": ""}, US),
    "R_43_9_a_1_words_alone": ({"data": Reference()}, US),
    "R_43_9_d": ({"is_major": True, "form_reference": "Form 12"}, US),
    "R_43_5_c": ({"limits_changed": True, "limits_reference": "Flight manual revision 4"}, US),
    "R_91_407_b": ({"needs_flight_check": True, "flight_check": "Flown, no fault"}, US),
    "R_145_50_a": ({"overdue": ("TB-AD 1",), "justification": "Extended by the authority"}, EASA),
    "R_65_81_elsewhere": ({"has_done_before": False}, CANADA),
    "R_145_50_c": ({"incomplete": "Cowl seal", "agreed_with": "Invented continuing airworthiness manager"}, EASA),
    "R_145_50_c_elsewhere": ({"incomplete": "Cowl seal"}, US),
}


@pytest.mark.parametrize(("change", "ruleset"), MET.values(), ids=MET)
def test_what_is_asked_for_can_be_met(change: dict[str, Any], ruleset: str) -> None:
    assert faults_of(dataclasses.replace(WORK, **change), ruleset) == {}


def test_R_43_5_everything_missing_is_said_at_once() -> None:
    faults = faults_of(WorkFacts(), US)
    missing = {"completed_on", "description", "is_major", "has_done_before", "limitations", "incomplete"}
    assert set(faults) == missing
    assert all(words.endswith(".") for words in faults.values())


UNINSPECTED: dict[str, tuple[InspectionFacts, dict[str, Any], str]] = {
    "R_43_11_a_1_kind": (DONE, {"kind": ""}, "kind"),
    "R_43_11_a_1_extent": (DONE, {"extent": " "}, "extent"),
    "R_43_11_a_2_date": (DONE, {"completed_on": None}, "completed_on"),
    "R_43_11_a_2_hours": (DONE, {"hours_s": None}, "hours"),
    "R_43_11_a_3": (DONE, {"is_approved": None}, "outcome"),
    "R_43_11_a_4": (DONE, {"discrepancies": (FOUND,)}, "discrepancies"),
    "R_43_11_a_5_list": (NOT, {"discrepancies": ()}, "discrepancies"),
    "R_43_11_a_5_only_deferred": (NOT, {"discrepancies": (DEFERRED,)}, "discrepancies"),
    "R_43_11_a_5_date": (NOT, {"list_date": None}, "list_date"),
    "R_43_11_a_5_given": (NOT, {"recipient": ""}, "recipient"),
    "R_43_11_a_6": (DONE, {"items": {"routine": ""}}, "routine"),
    "R_43_11_a_7": (DONE, {"items": {"programme": " "}}, "programme"),
    "R_43_11_b_1_text": (NOT, {"discrepancies": (dataclasses.replace(FOUND, text=""),)}, "discrepancy_1_text"),
    "R_43_11_b_1_basis": (NOT, {"discrepancies": (dataclasses.replace(FOUND, basis=""),)}, "discrepancy_1_basis"),
    "R_43_11_b_2_basis": (
        DONE,
        {"discrepancies": (dataclasses.replace(DEFERRED, deferral=""),)},
        "discrepancy_1_deferral",
    ),
    "R_43_11_b_2_by": (
        DONE,
        {"discrepancies": (dataclasses.replace(DEFERRED, placard_by=""),)},
        "discrepancy_1_placard_by",
    ),
    "R_43_11_b_2_on": (
        DONE,
        {"discrepancies": (dataclasses.replace(DEFERRED, placard_on=""),)},
        "discrepancy_1_placard_on",
    ),
    "R_43_15_c_checklist": (DONE, {"has_checklist": False}, "has_checklist"),
    "R_43_15_c_run": (DONE, {"run_after": ""}, "run_after"),
    "R_91_405_c_unanswered": (NOT, {"deferred": {"Lamp out": None}}, "deferred"),
    "R_91_405_c_left": (DONE, {"deferred": {"Lamp out": NOT_DONE}}, "deferred"),
}


@pytest.mark.parametrize(("facts", "change", "field"), UNINSPECTED.values(), ids=UNINSPECTED)
def test_an_inspection_that_lacks_something_is_refused_by_name(
    facts: InspectionFacts, change: dict[str, Any], field: str
) -> None:
    outcome = REFUSED if facts is NOT else INSPECTED
    assert list(inspection_faults(dataclasses.replace(facts, **change), outcome=outcome, today=TODAY)) == [field]


@pytest.mark.parametrize(
    ("facts", "outcome"),
    [
        pytest.param(DONE, INSPECTED, id="R_43_11_a_4"),
        pytest.param(NOT, REFUSED, id="R_43_11_a_5"),
        pytest.param(dataclasses.replace(DONE, discrepancies=(DEFERRED,)), INSPECTED, id="R_43_11_b_2"),
        pytest.param(dataclasses.replace(DONE, deferred={"Lamp out": REPAIRED}), INSPECTED, id="R_91_405_c"),
        pytest.param(dataclasses.replace(NOT, deferred={"Lamp out": NOT_DONE}), REFUSED, id="R_91_405_c_not_approved"),
    ],
)
def test_an_inspection_that_says_all_may_be_signed(facts: InspectionFacts, outcome: str) -> None:
    assert inspection_faults(facts, outcome=outcome, today=TODAY) == {}


def test_R_91_405_c_nothing_is_carried_silently() -> None:
    assert set(ANSWERS) == {"repaired", "replaced", "removed", "inspected", "not_done"}


def test_R_CRS_6_data_are_named_with_document_revision_and_section() -> None:
    assert WORK.data.words == "Invented maintenance manual 72-00, revision 9, task 4"
    assert Reference(" ", "", "").words == ""

"""What entries of maintenance say, laid out once for screen and paper; a blank is never silent."""

from typing import Any

import pytest

from logbook.maintenance.sections import Section, sections_of

DATA = {"data": {"words": "Invented manual 72-00, revision 9"}}
WORK: dict[str, Any] = {"description": "Nozzle changed", "performed_by": ["Test Doer"], "is_major": "no", **DATA}


def rows_of(body: dict[str, Any], title: str) -> dict[str, Any]:
    """Return the labels and values under a heading."""
    return next(dict(section.rows) for section in sections_of(body) if section.title == title)


def test_an_entry_of_a_run_has_none() -> None:
    assert sections_of({"kind": "run", "run": {}}) == []


def test_R_43_9_a_3_who_did_it_and_what_blank_means() -> None:
    rows = rows_of({"work": WORK}, "The work")
    assert rows == {
        "Work done": "Nozzle changed",
        "Worked to": "Invented manual 72-00, revision 9",
        "Work performed by": "Test Doer",
        "Helpers under supervision": "none",
        "Work pack": "not applicable: not summed up from a pack",
        "Major repair or alteration": "no",
        "Limitations": None,
        "Work left incomplete": None,
    }


@pytest.mark.parametrize(
    ("more", "label", "value"),
    [
        pytest.param({"is_major": "yes", "form_reference": "F 7"}, "Form", "F 7", id="R_43_9_d"),
        pytest.param(
            {"limits_changed": True, "limits_reference": "Rev 4"}, "Changed operating limits", "Rev 4", id="R_43_5_c"
        ),
        pytest.param(
            {"needs_flight_check": True, "flight_check": "Flown"},
            "Check flight or ground test",
            "Flown",
            id="R_91_407_b",
        ),
        pytest.param({"agreed_with": "A manager"}, "Agreed with", "A manager", id="R_145_50_c"),
        pytest.param({"pending": "in 7 days"}, "Still to be done", "in 7 days", id="R_801_c"),
        pytest.param({"justification": "Extended"}, "Overdue, and stands as", "Extended", id="R_145_50_a"),
        pytest.param({"work_pack": "WP-7"}, "Work pack", "WP-7", id="R_CRS_7"),
    ],
)
def test_what_applies_is_said(more: dict[str, Any], label: str, value: str) -> None:
    assert rows_of({"work": WORK | more}, "The work")[label] == value


def test_R_43_2_a_steps_test_measurements_and_what_is_settled() -> None:
    more = {
        "steps": ["tested", "cleaned"],
        "test_reference": "T 1",
        "new_limits": False,
        "measurements": ["Flow: 41 kg/h"],
        "closes": [{"number": 3, "text": "Leak"}],
    }
    body = {"work": WORK | more}
    assert rows_of(body, "Overhaul") == {
        "Steps": "Cleaned, Tested",
        "Tested to": "T 1",
        "To the limits of a new item": "no",
    }
    measured, settled = sections_of(body)[2:]
    assert measured.cells == [[("No.", 1), ("Measurement", "Flow: 41 kg/h")]]
    assert settled == Section(
        "Discrepancies settled",
        headings=("Discrepancy", "What was wrong"),
        lines=[(3, "Leak")],
        shares=(0.2, 0.8),
    )


INSPECTION: dict[str, Any] = {
    "inspection": "100-hour inspection",
    "inspection_kind": "hundred_hour",
    "hours_s": 3_600_000,
    "is_approved": "yes",
    **DATA,
}


def test_R_43_11_a_1_and_2_type_extent_and_time() -> None:
    rows = rows_of({"scheduled": INSPECTION | {"routine": "inlet", "hours_why": "typed"}}, "The inspection")
    assert (rows["Kind"], rows["Total time in service"]) == ("a 100-hour inspection", "1000.0 h")
    assert (rows["Routine inspection of"], rows["Time is not the log's, because"]) == ("inlet", "typed")
    assert rows_of({"scheduled": INSPECTION}, "List of discrepancies") == {"Discrepancies": "none"}


def test_R_43_11_b_1_and_2_each_line_of_the_list_and_to_whom_it_went() -> None:
    lamp = {"is_deferred": True, "deferral": "list 7", "placard_by": "Test Placarder", "placard_on": "2026-05-04"}
    found = [{"text": "Leak", "basis": "Manual"}, {"text": "Lamp", "basis": "List", **lamp}]
    again = [{"number": 1, "text": "Old lamp", "answer": "Replaced", "words": ""}]
    given = {"list": 7, "list_date": "2026-05-04", "recipient": "The owner", "is_approved": "no"}
    body = {"scheduled": INSPECTION | {"found": found, "again": again} | given}
    _, before, listed, told = sections_of(body)
    assert before.lines == [(1, "Old lamp", "Replaced", "not recorded")]
    standing = "deferred, inoperative permitted by list 7; placarded by Test Placarder on 2026-05-04"
    assert listed.lines == [(1, "Leak", "Manual", "open"), (2, "Lamp", "List", standing)]
    assert told.rows == [("List", 7), ("Dated", "2026-05-04"), ("Given to", "The owner")]
    approved = sections_of({"scheduled": INSPECTION | {"found": found[1:]}})
    assert [section.title for section in approved] == ["The inspection", "List of discrepancies"]


def test_a_change_of_meter_says_its_offset() -> None:
    part = {"old_h": "812.4", "new_h": "0.0", "offset_h": "812.4", "at": "2026-05-04T08:00:00+00:00", "why": "Failed"}
    rows = rows_of({"meter": part}, "The hour meter")
    assert rows["To be added to the new meter's readings"] == "812.4 h"
    assert rows["Changed at"] == "2026-05-04 08:00 UTC"


@pytest.mark.parametrize(
    ("more", "label", "value"),
    [
        pytest.param({"basis_text": "From bills"}, "Reconstructed", "From bills", id="R_43_9C_12"),
        pytest.param(
            {"granted_by": "agency", "granted_name": "X", "granted_on": "2026-01-05", "directives": ["TB-AD 1"]},
            "Zero time granted by",
            "An agency approved by the manufacturer: X, signed 2026-01-05",
            id="R_91_421",
        ),
        pytest.param({}, "Record", "not applicable: nothing was used before", id="new"),
    ],
)
def test_an_opening_balance_says_what_it_rests_on(more: dict[str, Any], label: str, value: str) -> None:
    part = {"basis_words": "As said", "used": {"run_time_s": 3600, "starts": 2}} | more
    rows = rows_of({"opening": part}, "Opening balance")
    assert (rows["Run time"], rows["Starts"], rows[label]) == ("1.0 h", 2, value)

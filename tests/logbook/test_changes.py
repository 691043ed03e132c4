"""What two versions of an entry's text differ in, in words."""

import copy
from typing import Any

import pytest

from logbook.changes import changes_of, gone_from

BODY: dict[str, Any] = {
    "sentences": ["No reading was beyond a limit in what was recorded."],
    "run": {
        "kind": "ground_run",
        "started_at": "2026-05-04T07:30:00+00:00",
        "remarks": "",
        "typed": {"run_time_s": 1440, "time_in_service_s": None, "starts": 1, "cycles": None, "meter_h": 100.4},
        "counted": {"run_time_s": 1440, "time_in_service_s": 0, "starts": 1, "cycles": 0},
    },
    "evidence": [
        {"kind": "reading", "chart": "ITT, running", "unit": "degC", "peak": 715.0, "seconds": None},
        {"kind": "trace", "name": "run.csv", "sha256": "ab"},
    ],
}
RELEASE = {
    "release": {
        "completed_on": "2026-05-05",
        "label": "Approved for return to service",
        "extent": "Looked at",
        "given_to": "",
        "statement": "I certify it.",
    }
}


def changed(**run: Any) -> dict[str, Any]:
    """Return the body with other facts of its run."""
    return {**BODY, "run": BODY["run"] | run}


@pytest.mark.parametrize(
    ("body", "line"),
    [
        (changed(kind="flight"), ("Kind of run", "Ground run", "Flight")),
        (
            changed(started_at="2026-05-03T07:30:00+00:00"),
            ("Began", "2026-05-04 07:30 UTC", "2026-05-03 07:30 UTC"),
        ),
        (
            changed(counted=BODY["run"]["counted"] | {"run_time_s": 14400}),
            ("Run time, as counted", "0.40 h", "4.00 h"),
        ),
        (
            changed(typed=BODY["run"]["typed"] | {"time_in_service_s": 720}),
            ("Time in service, as written down", "not recorded", "0.20 h"),
        ),
        (changed(typed=BODY["run"]["typed"] | {"meter_h": None}), ("Hour meter", "100.4 h", "not recorded")),
        (
            changed(counted=BODY["run"]["counted"] | {"partial_cycles": 3}),
            ("Partial cycles, as counted", "none", "3"),
        ),
        (changed(remarks="Windy"), ("Remarks", "not recorded", "Windy")),
        (
            BODY | {"evidence": [BODY["evidence"][0] | {"peak": None, "seconds": 30.0}, BODY["evidence"][1]]},
            ("Reading, ITT, running", "715 °C, seconds not known", "reading not known, 30 s"),
        ),
        (BODY | {"evidence": BODY["evidence"][1:]}, ("Reading, ITT, running", "715 °C, seconds not known", "none")),
        (BODY | {"evidence": BODY["evidence"][:1]}, ("Recorded file", "run.csv", "none")),
        (
            BODY | {"sentences": ["Void."]},
            ("What was found", "No reading was beyond a limit in what was recorded.", "Void."),
        ),
    ],
)
def test_each_text_that_differs_is_a_line(body: dict[str, Any], line: tuple[str, str, str]) -> None:
    assert changes_of(BODY, body) == [dict(zip(("what", "was", "is"), line, strict=True))]


def test_a_text_that_is_the_same_is_no_line() -> None:
    assert changes_of(BODY, copy.deepcopy(BODY)) == []


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ({"completed_on": "2026-05-06"}, ("Work completed on", "2026-05-05", "2026-05-06")),
        ({"given_to": "The owner"}, ("List given to", "not recorded", "The owner")),
        ({"extent": "Borescoped"}, ("Extent", "Looked at", "Borescoped")),
    ],
)
def test_what_was_stated_of_an_inspection(said: dict[str, str], line: tuple[str, str, str]) -> None:
    body = {"release": RELEASE["release"] | said}
    assert changes_of(RELEASE, body) == [dict(zip(("what", "was", "is"), line, strict=True))]


def test_what_is_gone_is_named_by_its_key() -> None:
    body = changed(kind="flight", counted=BODY["run"]["counted"] | {"starts": 2}) | {"evidence": BODY["evidence"][1:]}
    assert gone_from(BODY, body) == {"kind", "counted.starts", "reading.ITT, running"}

"""Bodies of entries for tests of print: invented, complete, with a long and a blank variant."""

import datetime
from copy import deepcopy
from typing import Any

from inspections.drawing.shapes import Line, Picture, Polyline, Text

STAMPED = datetime.datetime(2026, 5, 6, 14, 32, tzinfo=datetime.timezone(datetime.timedelta(hours=2)))
PRINTED_BY = "Test Reader"
CHART = "ITT, running"
DIGEST = "4f8b2c11" * 8

_CHART: dict[str, Any] = {
    "name": CHART,
    "channel": "itt",
    "regimes": ["running", "stopping"],
    "side": "above",
    "limit": 700,
    "unit": "degC",
    "method": "time_above",
    "areas": [
        {
            "name": "A",
            "allowed": [{"above": 700, "seconds": 60}, {"above": 720, "seconds": 0}],
            "action": {"summary": "Find and correct the cause; record it", "before_next_flight": False},
        },
        {
            "name": "B",
            "allowed": [{"above": 720, "seconds": 5}, {"above": 760, "seconds": 0}],
            "action": {
                "summary": "Hot section inspection",
                "before_next_flight": True,
                "required_inspection_item": True,
                "reference": "invented manual 72-00, revision 3",
            },
        },
    ],
    "source": "invented for the tests, page 2",
}

_FACTS: dict[str, str] = {
    "Measured": "Interstage turbine temperature",
    "Limit": "700 °C (ITT, running)",
    "From": "17:02.4",
    "To": "18:13.1",
    "Time above the limit": "70.7 s",
    "Peak": "741 °C",
    "Time above each level": "700 °C: 70.7 s; 720 °C: 12.4 s; 760 °C: 0 s",
    "Area": "B",
    "Area at worst": "B",
    "Short of the next area": "none is more severe",
    "Called for": "Hot section inspection",
    "Judged by": "the time above each value",
    "Source of the limit": "invented for the tests, page 2",
}

_VERDICT: dict[str, Any] = {
    "samples": 2400,
    "regimes": [{"regime": "running", "start_s": 31.5, "end_s": 2280.0}],
    "starts": [
        {
            "turning_s": 4.0,
            "light_off_s": 10.2,
            "speed_at_light_off": 12.4,
            "peak": 655.0,
            "peak_s": 14.0,
            "idle_s": None,
            "outcome": "aborted",
        }
    ],
    "usage": {"hours": 0.6305, "starts": 1, "cycles": 0},
    "unobserved": [{"channel": "itt", "start_s": 410.0, "end_s": 433.0}],
    "ignored": [{"column": "itt", "cells": 2, "example": "---"}],
    "notes": ["the limit is judged over the whole trace"],
    "repeats": [
        {
            "chart": CHART,
            "index": 0,
            "rule": "3 events in area A or beyond since overhaul",
            "counted": 2,
            "allowed": 3,
            "is_reached": False,
            "action": "Borescope inspection",
        }
    ],
    "not_judged": [{"chart": "Oil pressure, running", "reason": "the trace has no column for oil_press"}],
    "excursions": [{"chart": CHART, "unit": "degC"}],
}

_RUN: dict[str, Any] = {
    "kind": "run",
    "title": "Ground run recorded",
    "operator": "Testholm Flying Service",
    "place": "Testholm",
    "is_demo": False,
    "engine": {"serial": "TB-0001", "type": "Testbird TB-1", "fitted_to": "test stand 2", "position": ""},
    "run": {
        "id": "11111111-2222-4333-8444-555555555555",
        "kind": "Ground run",
        "started_at": "2026-05-04T07:30:00+02:00",
        "remarks": "Gauge & recorder agreed <within> 2 °C.",
        "typed": {"run_time_s": 2280, "time_in_service_s": None, "starts": 1, "cycles": None},
        "counted": {"run_time_s": 2280, "time_in_service_s": 0, "starts": 1, "cycles": 0},
    },
    "times": {"run_time_s": 4336380, "time_in_service_s": 4100000, "starts": 812, "cycles": 799},
    "evidence": [
        {"kind": "trace", "name": "run-0412.csv", "samples": 2400, "sha256": DIGEST, "unused": ["OAT", "ALT"]},
        {
            "kind": "reading",
            "chart": CHART,
            "unit": "degC",
            "peak": 742.0,
            "seconds": None,
            "remarks": "read from the gauge",
        },
    ],
    "revision": {
        "number": 3,
        "source": "invented limits, issue 3",
        "in_force_from": "2026-01-01",
        "entered_by": "Test Director",
        "checked_by": "Test Inspector",
    },
    "verdict": _VERDICT,
    "charts": [_CHART],
    "sentences": [
        "Interstage turbine temperature was above 700 °C for 70.7 s, peak 741 °C: area B, which calls for: "
        "Hot section inspection."
    ],
    "facts": [_FACTS],
    "opened": [
        {"number": 7, "summary": "Hot section inspection", "rule": "area B", "before_next_flight": True},
    ],
    "signed": {
        "name": "Test Mechanic",
        "role": "Mechanic",
        "certificate_kind": "Mechanic, airframe and powerplant",
        "certificate_number": "T-00017",
        "at": "2026-05-04T09:12:44+02:00",
    },
}

_INSPECTION: dict[str, Any] = {
    "kind": "inspection",
    "title": "Hot section inspection",
    "inspection": {
        "number": 7,
        "summary": "Hot section inspection",
        "rule": "area B",
        "reference": "invented manual 72-00, revision 3",
        "source": "invented for the tests, page 2",
        "cause": "Cause corrected",
        "cause_text": "A fuel nozzle sprayed to one side.",
        "required_inspection_item": True,
        "chart": CHART,
    },
    "steps": [
        {
            "text": "Look at the turbine blades",
            "answer": "Done",
            "reason": "",
            "by": "Test Mechanic",
            "at": "2026-05-04T15:00:00+02:00",
        },
        {
            "text": "Check the gauge",
            "answer": "Not applicable",
            "reason": "recorder used",
            "by": "Test Mechanic",
            "at": "2026-05-04T15:10:00+02:00",
        },
        {"text": "Look at the nozzles", "answer": "", "reason": "", "by": None, "at": None},
    ],
    "findings": [
        {"text": "Nozzle 4 sprays to one side", "by": "Test Mechanic", "at": "2026-05-04T15:20:00+02:00"},
    ],
    "actions": [
        {
            "description": "Replaced nozzle 4 and ran the engine",
            "data_reference": "invented manual 73-10, revision 2, task 4",
            "completed_on": "2026-05-05",
            "by": "Test Mechanic",
        }
    ],
    "release": {
        "outcome": "approved",
        "label": "Approved for return to service",
        "extent": "Borescope of the hot section; nozzle 4 replaced; ground run within limits.",
        "statement": "I certify that engine TB-0001 was inspected on 2026-05-05, at 1204.6 h run time: Hot section "
        "inspection, called for by area B. In respect of the work described here it is approved for return to "
        "service.",
        "completed_on": "2026-05-05",
        "signed_name": "Test Mechanic",
        "second_name": "Test Inspector",
        "given_to": "",
        "certificate_kind": "Mechanic, airframe and powerplant",
        "certificate_number": "T-00017",
    },
    "signed": _RUN["signed"] | {"at": "2026-05-06T08:01:09+02:00"},
}


def run_entry(**changes: Any) -> dict[str, Any]:
    """Return a fresh body of an entry about a run, with some of its members replaced."""
    return {**deepcopy(_RUN), **changes}


def inspection_entry(**changes: Any) -> dict[str, Any]:
    """Return a fresh body of an entry by which an inspection ended, with some of its members replaced."""
    shared = {name: value for name, value in deepcopy(_RUN).items() if name != "opened"}
    return {**shared, **deepcopy(_INSPECTION), **changes}


def blank_entry(kind: str) -> dict[str, Any]:
    """Return a body in which nothing was filled in."""
    blank: dict[str, Any] = {"kind": kind, "verdict": {"samples": 0}, "run": {"id": None}}
    return blank if kind == "run" else {**blank, "inspection": {"number": None}, "release": {"outcome": ""}}


def small_picture(text: str = "a picture of a run") -> Picture:
    """Return a picture with a line, a curve and a text."""
    shapes = (
        Line((10.0, 190.0), (470.0, 190.0)),
        Polyline(((10.0, 180.0), (200.0, 40.0), (470.0, 160.0))),
        Text(20.0, 20.0, text, 11.0),
    )
    return Picture(482.0, 200.0, shapes, text, text)

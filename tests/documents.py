"""An engine type's document for tests: invented, small, with a high limit in two shapes and a low one."""

from copy import deepcopy
from typing import Any

_STEPS = ["Look at the turbine blades", "Check the gauge against a calibrated source"]

_TYPE: dict[str, Any] = {
    "name": "Testbird TB-1",
    "channels": [
        {"name": "itt", "label": "Interstage turbine temperature", "unit": "degC"},
        {"name": "n1", "label": "Gas generator speed", "unit": "percent"},
        {"name": "torque", "label": "Torque", "unit": "percent"},
        {"name": "oil_press", "label": "Oil pressure", "unit": "psi"},
    ],
    "segmentation": {
        "speed": "n1",
        "temperature": "itt",
        "turning": 5,
        "idle": 58,
        "stopping_below": 45,
        "light_off_rise": 50,
    },
    "max_gap_s": 2.0,
    "charts": [
        {
            "name": "ITT, starting",
            "channel": "itt",
            "regimes": ["starting"],
            "limit": 800,
            "boundary": "linear",
            "areas": [
                {
                    "name": "A",
                    "allowed": [{"above": 800, "seconds": 10}, {"above": 850, "seconds": 0}],
                    "action": {"summary": "Hot section inspection", "before_next_flight": True, "steps": _STEPS},
                }
            ],
            "source": "invented for the tests, page 1",
        },
        {
            "name": "ITT, running",
            "channel": "itt",
            "regimes": ["running", "stopping"],
            "limit": 700,
            "method": "time_above",
            "areas": [
                {
                    "name": "A",
                    "allowed": [{"above": 700, "seconds": 60}, {"above": 720, "seconds": 0}],
                    "action": {"summary": "Find and correct the cause", "before_next_flight": False},
                },
                {
                    "name": "B",
                    "allowed": [{"above": 720, "seconds": 5}, {"above": 760, "seconds": 0}],
                    "action": {
                        "summary": "Hot section inspection",
                        "before_next_flight": True,
                        "steps": _STEPS,
                        "required_inspection_item": True,
                        "reference": "invented manual 72-00, revision 3",
                    },
                },
            ],
            "repeats": [
                {
                    "area": "A",
                    "count": 3,
                    "since": "overhaul",
                    "unless_cause": "corrected",
                    "action": {"summary": "Borescope inspection", "before_next_flight": True},
                }
            ],
            "source": "invented for the tests, page 2",
        },
        {
            "name": "Oil pressure, running",
            "channel": "oil_press",
            "regimes": ["running"],
            "side": "below",
            "limit": 40,
            "areas": [
                {
                    "name": "A",
                    "allowed": [{"below": 40, "seconds": 5}],
                    "action": {"summary": "Check the oil system", "before_next_flight": True},
                }
            ],
            "source": "invented for the tests, page 3",
        },
    ],
}


def type_document(**changes: Any) -> dict[str, Any]:
    """Return a fresh copy of the document, with some of its top-level members replaced."""
    return {**deepcopy(_TYPE), **changes}

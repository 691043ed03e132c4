"""An engine type's document with rules of power for tests: invented throughout."""

from typing import Any

from engines.power_assurance import PowerReadings
from tests.documents import type_document

CALIBRATION = [{"channel": "torque", "reads": ["psi"], "full": {"value": 1480, "unit": "lbf*ft"}}]
POWER: dict[str, Any] = {
    "torque": "torque",
    "propeller": "np",
    "temperature": "itt",
    "speed": "n1",
    "fuel_flow": "fuel_flow",
    "air_temperature": "oat",
    "altitude": "altitude",
    "brought_back": 50,
    "settled": {"seconds": 20, "torque": 1.5, "propeller": 15, "fuel_flow": 6},
    "assurance": {
        "unit": "hp",
        "source": "invented for the tests, page 4",
        "lines": [
            {"quantity": "temperature", "points": [{"power": 200, "most": 560}, {"power": 500, "most": 650}]},
            {"quantity": "speed", "points": [{"power": 200, "most": 90}, {"power": 500, "most": 95}]},
        ],
    },
}
TREND = {
    "baseline": 4, "least": 6, "confidence": 0.9, "shift": 0.05,
    "least_power": 250, "most_power": 450, "unit": "hp",
}  # fmt: skip
CHANNELS = [
    {"name": "np", "label": "Propeller speed", "unit": "rpm"},
    {"name": "fuel_flow", "label": "Fuel flow", "unit": "lb/h"},
    {"name": "oat", "label": "Outside air temperature", "unit": "degC"},
    {"name": "altitude", "label": "Pressure altitude", "unit": "ft"},
]
READ = PowerReadings(15.0, 0.0, 70.0, 1700.0, 600.0, 92.0, 290.0)


TORQUE: dict[str, Any] = {
    "name": "Torque",
    "channel": "torque",
    "limit": 100,
    "areas": [
        {
            "name": "A",
            "allowed": [{"above": 100, "seconds": 5}],
            "action": {"summary": "Inspect the reduction gear", "before_next_flight": True},
        }
    ],
    "source": "invented for the tests, page 5",
}


def indicated_document(**changes: Any) -> dict[str, Any]:
    """Return the tests' document with a torque limit, and torque indicated in other units."""
    document = type_document(calibration=CALIBRATION)
    document["charts"].append(TORQUE)
    return document | changes


def power_document(**changes: Any) -> dict[str, Any]:
    """Return the tests' document with the channels and rules of power, some of its members replaced."""
    document = type_document(calibration=CALIBRATION, power=POWER, trend=TREND)
    document["channels"] += CHANNELS
    return document | changes

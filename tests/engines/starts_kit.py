"""An invented type whose starts are told, and traces with a row a second, for the tests of start analysis."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from engines.charts import EngineTypeData
from engines.documents import engine_type_read
from engines.traces import Trace

NAN = float("nan")
RULES: dict[str, Any] = {
    "starter": {"channel": "volts", "drop": 3},
    "fuel_on": {"channel": "fuel", "above": 20},
    "ignition": {"channel": "ign", "above": 0.5},
    "light_off_within_s": 5,
    "idle_within_s": 60,
    "hot_above": 760,
    "hung": {"rate": 0.5, "seconds": 4},
    "slope_s": 2,
    "settled": {"after_s": 2, "seconds": 3, "speed_below": 66},
    "supply": {"channel": "volts", "least": 16},
    "oil_pressure": {"channel": "oil", "least": 20, "within_s": 10},
    "residual_most": 150,
    "fuel_limiting": {"channel": "fuel", "drop": 15, "most_s": 2},
    "cool_down": {"channel": "torque", "below": 10, "seconds": 120},
    "run_down": {"from": 45, "to": 5, "least_s": 10},
    "envelope": {
        "temperature": [{"at_s": 0, "value": 300}, {"at_s": 3, "value": 700}],
        "speed": [{"at_s": 0, "value": 8}, {"at_s": 30, "value": 55}],
    },
    "drift": {"baseline": 8, "weight": 0.2, "width": 2.7, "slack": 0.5, "decision": 4},
    "source": "invented",
}
UNITS = {
    "n1": "percent", "itt": "degC", "fuel": "lb/h", "volts": "V", "oil": "psi", "torque": "percent", "ign": "percent",
}  # fmt: skip
# One second each from rest on: a start that lights at row 8 and reaches idle at row 18.
N1 = [0, 0, 0, 2, 6, 9, 11, 12, 14, 17, 21, 26, 31, 36, 41, 46, 51, 55, 60, 60, 60, 60, 60, 60]
ITT = [40, 40, 40, 40, 40, 40, 40, 42, 140, 400, 600, 655, 650, 640, 620, 600, 585, 570, 560, 556, 554, 552, 551, 550]
FUEL = [0, 0, 0, 0, 0, 0, 90, 90, 90, 90, 90, 90, 90, 70, 90, 90, 90, 90, 96, 96, 96, 96, 96, 96]
VOLTS = [25.4, 25.5, 25.4, 17.5, 18, 18.5, 19, 19, 19, 19, 20, 20, 21, 21, 22, 22, 22, 23, 24, 28, 28, 28, 28, 28]
OIL = [0, 0, 0, 0, 2, 4, 8, 12, 18, 21, 30, 40, 50, 60, 65, 70, 75, 80, 85, 85, 85, 85, 85, 85]
WHOLE = {"n1": N1, "itt": ITT, "fuel": FUEL, "volts": VOLTS, "oil": OIL}


def document_with(rules: Mapping[str, Any] | None, **more: Any) -> dict[str, Any]:
    """Return a type's document with these rules for its starts."""
    return {
        "name": "Invented type",
        "channels": [{"name": name, "label": name, "unit": unit} for name, unit in UNITS.items()],
        "segmentation": {
            "speed": "n1", "temperature": "itt", "turning": 5, "idle": 58, "stopping_below": 45, "light_off_rise": 50,
        },
        "charts": [],
        **({} if rules is None else {"starts": dict(rules)}),
        **more,
    }  # fmt: skip


def type_with(rules: Mapping[str, Any] | None = None, **changed: Any) -> EngineTypeData:
    """Return the type with its usual rules, some of them changed; None takes one away."""
    merged = {**(RULES if rules is None else rules), **changed}
    return engine_type_read(document_with({name: rule for name, rule in merged.items() if rule is not None}))


def trace_with(channels: Mapping[str, Sequence[float]] | None = None, step: float = 1.0, **changed: Any) -> Trace:
    """Return a trace with a row every so many seconds, some of its channels changed; None takes one away."""
    merged = {**(WHOLE if channels is None else channels), **changed}
    columns = {name: np.array(values, dtype=float) for name, values in merged.items() if values is not None}
    return Trace(np.arange(len(columns["n1"])) * step, columns)

"""The part of a type's document about a first start, for tests: invented, in the order that is common practice."""

from copy import deepcopy
from typing import Any

from tests.documents import type_document

MANUAL = "Manual-fuel start and transfer"
AUTOMATIC = "Automatic start"
DRY = "Dry motoring"
LEAKS = "Leak check"
CLEAN = "Transferred cleanly"
FLAME_OUT = "Flame-out at the transfer"
UNLIT = "No light-off"
STARTED = "Started"
POSITIONS = [{"name": "Gas generator"}, {"name": "Fuel control", "within": "Gas generator"}]

FIRST_START: dict[str, Any] = {
    "triggers": [
        {"when": "part_fitted", "position": "Fuel control"},
        {"when": "engine_fitted"},
        {"when": "task_done", "task": "Return from preservation"},
        {"when": "stood", "days": 30},
        {"when": "by_hand", "name": "Fuel system bled"},
    ],
    "steps": [
        {"name": DRY, "kind": "dry_motoring"},
        {
            "name": MANUAL,
            "watch": "Flame-out at the transfer: air is still in the fuel control.",
            "in_a_row": 2,
            "endings": [
                {"name": CLEAN, "done": True, "lit": True},
                {"name": FLAME_OUT, "lit": True, "then": "Shut down and repeat."},
                {"name": UNLIT, "again_from": DRY},
            ],
        },
        {
            "name": AUTOMATIC,
            "endings": [
                {"name": STARTED, "done": True, "lit": True},
                {"name": "Flame-out", "lit": True, "again_from": MANUAL},
            ],
        },
        {"name": LEAKS, "kind": "check"},
    ],
    "source": "invented for the tests",
}


def first_start_document(**changes: Any) -> dict[str, Any]:
    """Return a type's document with a first start, some of its members of ``first_start`` replaced."""
    return type_document(positions=deepcopy(POSITIONS), first_start={**deepcopy(FIRST_START), **changes})

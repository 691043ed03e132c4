"""What every operation of the schema has in common: its refusals are problem details."""

from typing import Any, Final

from engines.due import STATES
from inspections.states import LABELS
from logbook.api.problems import MEDIA_TYPE
from logbook.ledger.answers import CURRENT, SUPERSEDED, VOID

# Choices of fields that are all called "state"; the schema names each by what it is of.
TASK_STATES: Final = list(STATES.items())
ENTRY_STATES: Final = [(state, state.capitalize()) for state in (CURRENT, SUPERSEDED, VOID)]
INSPECTION_STATES: Final = list(LABELS.items())
PROBLEM: Final = {
    "type": "object",
    "description": "A refusal (RFC 9457).",
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string", "description": "A sentence for people."},
        "code": {"type": "string", "description": "A stable word for programs."},
        "fields": {
            "type": "object",
            "description": "What is wrong, by the path of the field.",
            "additionalProperties": {"type": "string"},
        },
    },
    "required": ["type", "title", "status", "detail", "code"],
}
REFUSED: Final = {
    "description": "Refused, with the reason.",
    "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
}


def problems_describe(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Give every operation of a finished schema the answer that a refusal has."""
    result["components"].setdefault("schemas", {})["Problem"] = PROBLEM
    for operations in result["paths"].values():
        for operation in operations.values():
            operation["responses"]["default"] = REFUSED
    return result

"""Who may do what: one table, asked by screens, REST and the admin alike."""

from typing import Final

MECHANIC, INSPECTOR, DIRECTOR, AUDITOR = "mechanic", "inspector", "director", "auditor"
EVERYONE: Final = frozenset({MECHANIC, INSPECTOR, DIRECTOR, AUDITOR})
WORKERS: Final = frozenset({MECHANIC, INSPECTOR, DIRECTOR})

ACTS: Final[dict[str, frozenset[str]]] = {
    "read": EVERYONE,
    "print": EVERYONE,
    "run.record": WORKERS,
    "inspection.work": WORKERS,
    "inspection.second": frozenset({INSPECTOR, DIRECTOR}),
    "inspection.close": WORKERS,
    "inspection.assign": frozenset({DIRECTOR}),
    "limits.enter": frozenset({INSPECTOR, DIRECTOR}),
    "limits.adopt": frozenset({INSPECTOR, DIRECTOR}),
    "engine.add": frozenset({DIRECTOR}),
    "part.move": WORKERS,
}


def may(role: str, act: str) -> bool:
    """Return whether a role may do an act; KeyError for an act that the table does not know."""
    return role in ACTS[act]

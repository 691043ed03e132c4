"""How long each kind of record has to be kept at least, by the rules that an operator works to."""

from collections.abc import Mapping
from typing import Any, Final

from inspections.states import NOT_APPROVED
from logbook.statements.elements import AUSTRALIA, CANADA, EASA, OTHER, REFUSALS, US, US_PROGRAMME

WORK, STATUS, DISCREPANCIES = "work", "status", "discrepancies"
# Kinds of entry from which the status of an engine or a part follows.
OF_STATUS: Final = frozenset(
    {"opening", "meter_change", "part_fitted", "part_removed", "part_limit", "part_done", "task", "handover"}
)
NEVER_PURGED: Final = "Nothing is removed here by itself."
_LONGER: Final = "the longest known here: 36 months, and the status records with the aircraft for good"

# 14 CFR 91.417(b), 135.439(b), 43.11(b); Part-M M.A.305, 145.A.55; CAR 573; ANO engine log book.
_US: Final = {
    WORK: "until repeated or superseded by other work, or 1 year after the work (14 CFR 91.417(b)(1))",
    STATUS: "with the aircraft, to be handed over when it is sold (14 CFR 91.417(b)(2))",
    DISCREPANCIES: "until the discrepancies are repaired and approved (14 CFR 91.417(b)(3))",
}
_EASA: Final = {
    WORK: "until superseded, and 36 months; 12 months after withdrawal; a UK engine log book 2 years",
    STATUS: "until superseded, and 36 months; 12 months after withdrawal",
    DISCREPANCIES: "36 months; an organisation 3 years",
}
KEEP: Final[dict[str, dict[str, str]]] = {
    US: _US,
    US_PROGRAMME: _US | {WORK: f"{_US[WORK]}; the last complete overhaul until superseded (14 CFR 135.439(b))"},
    EASA: _EASA,
    CANADA: dict.fromkeys((WORK, STATUS, DISCREPANCIES), "2 years at an approved organisation"),
    AUSTRALIA: dict.fromkeys((WORK, STATUS, DISCREPANCIES), f"as CASR Part 42 asks; {_LONGER}"),
    OTHER: dict.fromkeys((WORK, STATUS, DISCREPANCIES), f"as your authority asks; {_LONGER}"),
}


def keep_of(body: Mapping[str, Any]) -> str:
    """Return how long an entry has to be kept at least, by the rules that it was signed under.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    str
        In words; by no rules where the entry names none.
    """
    release: Mapping[str, Any] = body.get("release") or {}
    record = STATUS if body.get("kind") in OF_STATUS else WORK
    if release.get("outcome") in REFUSALS or release.get("outcome") == NOT_APPROVED:
        record = DISCREPANCIES
    return keep_words(record, release.get("ruleset"))


def keep_words(record: str, ruleset: str | None) -> str:
    """Return how long a record has to be kept at least.

    Parameters
    ----------
    record : str
        ``"work"``, ``"status"`` or ``"discrepancies"``.
    ruleset : str or None
        The rules that the operator works to; None where none are chosen.

    Returns
    -------
    str
        In words, with the clause where one is known.

    Raises
    ------
    ValueError
        If there is no such record or no such rule-set.
    """
    rules = KEEP.get(ruleset or OTHER)
    if rules is None or record not in rules:
        raise ValueError(f"There is no minimum for {record!r} under {ruleset!r}.")
    return f"{rules[record]}. {NEVER_PURGED}"

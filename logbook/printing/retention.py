"""How long each kind of record has to be kept at least, by the rules that an operator works to."""

from typing import Final

from logbook.statements.elements import CANADA, EASA, OTHER, US, US_PROGRAMME

WORK, STATUS, DISCREPANCIES = "work", "status", "discrepancies"
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
    OTHER: dict.fromkeys((WORK, STATUS, DISCREPANCIES), f"as your authority asks; {_LONGER}"),
}


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

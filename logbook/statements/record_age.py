"""How long a release may be on its way into the record, and what is said of it meanwhile and once it came too late."""

from datetime import date, timedelta
from typing import Final

from logbook.statements.elements import EASA
from logbook.statements.provisional import left_words

# Rule-sets that say by when, with the days they give and the clause.
RECORD_DAYS: Final = {EASA: (30, "M.A.305(a)")}


def record_by(completed_on: date, ruleset: str) -> date | None:
    """Return the last day on which a release may come into the record.

    Parameters
    ----------
    completed_on : date
        The day on which the maintenance was completed.
    ruleset : str
        The operator's rules.

    Returns
    -------
    date or None
        None where the rules name no number of days.

    References
    ----------
    M.A.305(a): as soon as practicable, and at most 30 days after completion.
    """
    if ruleset not in RECORD_DAYS:
        return None
    days, _ = RECORD_DAYS[ruleset]
    return completed_on + timedelta(days=days)


def record_words(completed_on: date | None, ruleset: str, today: date) -> str:
    """Return how long completed work that is not signed may still be on its way into the record.

    Parameters
    ----------
    completed_on : date or None
        The day on which it was completed; None while that is not said.
    ruleset : str
        The operator's rules, "" while none are chosen.
    today : date
        The day of asking.

    Returns
    -------
    str
        One sentence, "" where no clock runs.

    References
    ----------
    M.A.305(a).
    """
    last = record_by(completed_on, ruleset) if completed_on else None
    if last is None:
        return ""
    by = f"{last}, {left_words(last, today)} ({RECORD_DAYS[ruleset][1]})"
    return f"Completed on {completed_on}: its release has to be in the record by {by}."


def record_late(completed_on: date, ruleset: str, signed_on: date) -> str:
    """Return what is said of a release that came into the record too late.

    Parameters
    ----------
    completed_on : date
        The day on which it was completed.
    ruleset : str
        The rules it was released under, "" where none are named.
    signed_on : date
        The day on which it came into the record.

    Returns
    -------
    str
        One sentence, "" where it came in time or the rules name no time.

    References
    ----------
    M.A.305(a).
    """
    last = record_by(completed_on, ruleset)
    if last is None or signed_on <= last:
        return ""
    return f"It had to be in the record by {last}: {left_words(last, signed_on)} ({RECORD_DAYS[ruleset][1]})."

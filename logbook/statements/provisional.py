"""A release by somebody whom the owner authorised away from base: what has to be said, and what runs out when."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

LEAST_YEARS: Final = 3
TELL_DAYS: Final = 7
RECHECK_DAYS: Final = {"7": "7 days", "30": "30 days, where the rules allow it"}


@dataclass(frozen=True)
class Provisional:
    """Who authorised whom: the owner's name, qualifications and years of experience, and when it is checked again.

    ``told`` names who has to be told; ``days`` is a key of ``RECHECK_DAYS``.
    """

    authorised_by: str = ""
    qualifications: str = ""
    years: int | None = None
    told: str = ""
    days: str = ""


def provisional_faults(said: Provisional) -> dict[str, str]:
    """Return what a release away from base lacks, by field.

    Parameters
    ----------
    said : Provisional
        What is said of it.

    Returns
    -------
    dict
        Field to sentence; empty where it may be signed.

    References
    ----------
    M.A.801(c).
    """
    asked = {
        "authorised_by": "Name the owner who authorised the signer for this release.",
        "qualifications": "Give the signer's qualifications, which the owner keeps.",
        "told": "Name who has to be told of it: the organisation that manages airworthiness, or the authority.",
    }
    faults = {name: words for name, words in asked.items() if not getattr(said, name).strip()}
    if said.years is None or said.years < LEAST_YEARS:
        faults["years"] = f"The signer needs at least {LEAST_YEARS} years of experience; give how many."
    if said.days not in RECHECK_DAYS:
        faults["days"] = "Choose within how many days it is checked again."
    return faults


def provisional_ends(completed_on: date, days: str) -> tuple[date, date]:
    """Return the last days on which it may be checked again, and on which it may be told.

    Parameters
    ----------
    completed_on : date
        The day of the release.
    days : str
        A key of ``RECHECK_DAYS``.

    Returns
    -------
    tuple of date
        The day of the check, the day of telling.

    Raises
    ------
    ValueError
        If the rules know no such number of days.
    """
    if days not in RECHECK_DAYS:
        raise ValueError(f"{days!r} is none of {', '.join(RECHECK_DAYS)} days")
    return completed_on + timedelta(days=int(days)), completed_on + timedelta(days=TELL_DAYS)


def left_words(due_on: date, today: date) -> str:
    """Return how many days are left until a day ends, or how many it is over.

    Parameters
    ----------
    due_on : date
        The last day.
    today : date
        The day of asking.

    Returns
    -------
    str
        For example ``"5 days left"``, ``"today is the last day"``, ``"2 days over"``.
    """
    left = (due_on - today).days
    if left == 0:
        return "today is the last day"
    count = f"{abs(left)} day{'' if abs(left) == 1 else 's'}"
    return f"{count} left" if left > 0 else f"{count} over"

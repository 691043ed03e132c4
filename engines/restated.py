"""What a correction of a limit may not do: raise it. Only a newer revision of the maker's document does that."""

from fractions import Fraction
from typing import Final

from engines.counters import MONTHS
from engines.lives import Limit, amount_text

# A month is no fixed number of days; each bound is the one by which nothing is raised.
LONGEST_MONTH: Final = 31
SHORTEST_MONTH: Final = 28


def raised_words(was: Limit, limit: Limit) -> str:
    """Return by what a limit that is stated anew would allow more than before.

    Parameters
    ----------
    was, limit : Limit
        The limit as it stands, and as it is to stand; of the same parameter.

    Returns
    -------
    str
        In words; empty where it allows no more: neither a larger amount or tolerance, nor a smaller weight of a
        partial cycle. Days are held against months so that no calendar raises a limit.

    References
    ----------
    14 CFR 33.70: the maker publishes the lives; a user can't raise one.
    """
    if _at_most(limit.amount, limit.unit) > _at_least(was.amount, was.unit, limit.unit):
        return f"{amount_text(limit.amount, limit.unit)} is more than {amount_text(was.amount, was.unit)}"
    if _at_most(limit.tolerance, limit.unit) > _at_least(was.tolerance, was.unit, limit.unit):
        words = amount_text(limit.tolerance, limit.unit), amount_text(was.tolerance, was.unit)
        return f"a tolerance of {words[0]} is more than {words[1]}"
    if limit.weight < was.weight:
        return f"a partial cycle would count {_plain(limit.weight)} in place of {_plain(was.weight)}"
    return ""


def _at_most(amount: int, unit: str) -> int:
    """Return how long an amount can be, in days where it is of the calendar."""
    return amount * LONGEST_MONTH if unit == MONTHS else amount


def _at_least(amount: int, unit: str, beside: str) -> int:
    """Return how long an amount is at least, to be held against one in the unit ``beside``."""
    if unit == MONTHS:
        return amount * (LONGEST_MONTH if beside == MONTHS else SHORTEST_MONTH)
    return amount


def _plain(weight: Fraction) -> str:
    return f"{float(weight):g}"

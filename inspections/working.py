"""The arithmetic behind a verdict on one excursion, short enough to be printed under it."""

from collections.abc import Sequence

from inspections.explaining_words import Explanation

MOST_STAYS = 8  # lines of a sum that are written out
RULE = "The rule"


def working_rows(explanation: Explanation) -> list[tuple[str, str]]:
    """Return how a verdict on one excursion was reached, as names and texts of a table.

    Parameters
    ----------
    explanation : Explanation
        The verdict worked through.

    Returns
    -------
    list of (str, str)
        Each text has a sentence a line, in the order of the reckoning; nothing for a step that was not needed. Of a
        long sum the first eight lines are written out, and the rest are counted.
    """
    rows = [
        (RULE, explanation.rules),
        ("Time beyond the limit", _shortened(explanation.seconds)),
        ("Peak", (explanation.peak,)),
        ("Areas", explanation.areas),
        ("Next area", (explanation.margin,)),
        ("Assumed", explanation.assumed),
        ("Areas at worst", explanation.worst),
    ]
    return [(name, "\n".join(sentences)) for name, sentences in rows if sentences]


def rules_once(tables: Sequence[Sequence[tuple[str, str]]]) -> list[list[tuple[str, str]]]:
    """Return the tables of several excursions, with a rule that one before it has written out named only.

    Parameters
    ----------
    tables : sequence of sequence of (str, str)
        What :func:`working_rows` gives for each excursion.

    Returns
    -------
    list of list of (str, str)
        The same, excursions counted from 1.
    """
    first: dict[str, int] = {}
    found = []
    for place, rows in enumerate(tables, 1):
        own = {text: first.setdefault(text, place) for name, text in rows if name == RULE}
        found.append(
            [(name, f"As for excursion {own[text]}." if own.get(text, place) < place else text) for name, text in rows]
        )
    return found


def _shortened(lines: tuple[str, ...]) -> tuple[str, ...]:
    """Return a sum with its last two lines, the total and how ends are found, and of the rest so many."""
    stays, last = lines[:-2], lines[-2:]
    left = len(stays) - MOST_STAYS
    return lines if left <= 0 else (*stays[:MOST_STAYS], f"and {left} more of the same kind", *last)

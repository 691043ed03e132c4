"""The arithmetic behind a verdict on one excursion, short enough to be printed under it."""

from inspections.explaining_words import Explanation

MOST_STAYS = 8  # lines of a sum that are written out


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
        ("The rule", explanation.rules),
        ("Time beyond the limit", _shortened(explanation.seconds)),
        ("Peak", (explanation.peak,)),
        ("Areas", explanation.areas),
        ("Next area", (explanation.margin,)),
        ("Assumed", explanation.assumed),
        ("Areas at worst", explanation.worst),
    ]
    return [(name, "\n".join(sentences)) for name, sentences in rows if sentences]


def _shortened(lines: tuple[str, ...]) -> tuple[str, ...]:
    """Return a sum with its last two lines, the total and how ends are found, and of the rest so many."""
    stays, last = lines[:-2], lines[-2:]
    left = len(stays) - MOST_STAYS
    return lines if left <= 0 else (*stays[:MOST_STAYS], f"and {left} more of the same kind", *last)

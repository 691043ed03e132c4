"""How each excursion of an entry was worked out: the rule, the sum, and each area held against it."""

from collections.abc import Mapping, Sequence
from typing import Any

from inspections.drawing.words import count_text
from logbook.printing.blocks import Story, pairs, paragraph, part, titled

FOLLOWS = "What each figure follows from, worked through from the samples or the readings when the entry was made."


def working_section(body: Mapping[str, Any]) -> Story:
    """Return how each excursion was worked out, under its heading.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        One table for each excursion that is worked out, and how many are not; nothing where there is none.
    """
    worked: Sequence[Mapping[str, Any]] = body.get("worked") or []
    if not worked:
        return []
    story: Story = [paragraph(FOLLOWS)]
    for case in worked:
        story += part(case["title"], [pairs([(name, text) for name, text in case["rows"]])])
    left = body.get("worked_left") or 0
    if left:
        story.append(paragraph(f"{count_text(left, 'more excursion')} are worked out on the screen of the run."))
    return titled("How it was worked out", story)

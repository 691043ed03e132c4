"""What an entry says of a part: which, what was done to it, and its life at that moment."""

from collections.abc import Mapping
from typing import Any

from logbook.printing.blocks import Story, pairs, titled
from logbook.printing.particulars import times_section


def part_section(body: Mapping[str, Any]) -> Story:
    """Return what an entry says of a part.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    list of Flowable
        Heading and table; nothing where the entry is about no part.
    """
    rows = body.get("part")
    if not rows:
        return []
    told = titled("The part", [pairs([(label, text) for label, text in rows])])
    return [*(times_section(body) if body.get("times") else []), *told]

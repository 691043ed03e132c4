"""An item of a phone's outbox as plain data: what it says, whatever version of the phone's program wrote it."""

import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final
from uuid import UUID

NEWEST: Final = 3
OLDEST: Final = NEWEST - 2  # a phone may come back with what two versions before this wrote
READ_IN: Final = "read_in_"  # the unit in which a reading is typed, which says nothing without one
# Of a run's sheet by its charts, of the sheet before a start by its checks.
CHART_BOX: Final = re.compile(r"^((?:reason_|asked_)?(?:peak|seconds)_|read_in_|answer|reason)(\d+)(_unknown)?$")


@dataclass(frozen=True)
class Item:
    """What was recorded on a phone: the boxes of a sheet as typed, the record it is about, and when by which clock.

    ``charts`` are the names behind the numbered boxes of a sheet, of charts or of checks; ``verdict`` is what the
    phone computed; ``sha256`` is of the file that goes with it, "" where there is none.
    """

    id: UUID
    kind: str
    author: int
    about: str
    fields: Sequence[tuple[str, str]]
    kept_at: datetime
    sent_at: datetime
    kept_offset_min: int = 0
    charts: Sequence[str] = ()
    verdict: Mapping[str, Any] = field(default_factory=dict)
    sha256: str = ""


def upgraded(body: Mapping[str, Any]) -> dict[str, Any]:
    """Return an item in the newest format.

    Parameters
    ----------
    body : mapping
        An item in any format from `OLDEST` on; ``format`` says which.

    Returns
    -------
    dict
        The same in the newest format.

    Raises
    ------
    ValueError
        If it is of a format that is not known.

    Notes
    -----
    Format 1 had ``boxes``, an object, where format 2 has ``fields``, pairs in their order. Format 3 added the offset
    of the phone's clock from UTC and what the phone computed.
    """
    known = dict(body)
    written = known.pop("format", None)
    if type(written) is not int or not OLDEST <= written <= NEWEST:
        raise ValueError(f"Items of format {written!r} are not known here; {OLDEST} to {NEWEST} are.")
    if written == OLDEST:
        boxes = known.pop("boxes", {})
        known["fields"] = [[name, value] for name, value in dict(boxes).items()]
    known.setdefault("kept_offset_min", 0)
    known.setdefault("charts", [])
    known.setdefault("verdict", {})
    return known


def digest_of(item: Item) -> str:
    """Return by what a repeat of an item is known: what was stated, and nothing of when it was sent.

    Parameters
    ----------
    item : Item
        The item.

    Returns
    -------
    str
        64 hexadecimal digits of SHA-256.
    """
    stated = [item.kind, item.about, [list(pair) for pair in item.fields], list(item.charts)]
    stated += [item.sha256] if item.sha256 else []
    canonical = json.dumps(stated, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(canonical.encode()).hexdigest()


def boxes_moved(fields: Sequence[tuple[str, str]], was: Sequence[str], now: Sequence[str]) -> list[tuple[str, str]]:
    """Return the boxes of a sheet under the numbers that their charts, or checks, have now.

    Parameters
    ----------
    fields : sequence of (str, str)
        Names and values of boxes.
    was, now : sequence of str
        The charts in the order of the sheet that was filled in, and in today's.

    Returns
    -------
    list of (str, str)
        The same boxes, their charts found by name. A box of a chart that is gone is left out where it is empty, and
        the unit beside it.

    Raises
    ------
    ValueError
        If something was read for a chart that is no longer there; it names the chart.
    """
    moved = []
    for name, value in fields:
        place = CHART_BOX.match(name)
        if place is None:
            moved.append((name, value))
            continue
        chart = was[int(place[2])] if int(place[2]) < len(was) else "?"
        if chart in now:
            moved.append((f"{place[1]}{now.index(chart)}{place[3] or ''}", value))
        elif value and place[1] != READ_IN:
            raise ValueError(f"The limits have no “{chart}” any more. Read the sheet again with today's limits.")
    return moved


def columns_chosen(fields: Sequence[tuple[str, str]]) -> tuple[dict[str, str], dict[str, str]]:
    """Return how the columns of a file are to be read, as a person chose on the phone.

    Parameters
    ----------
    fields : sequence of (str, str)
        Names and values of boxes; those of the sheet of columns are ``column_itt`` and ``unit_itt``.

    Returns
    -------
    tuple of two dicts
        Channel, or ``time_s``, to header; and to the unit in the file. Boxes left empty are left out.
    """
    given = [(name.partition("_"), value) for name, value in fields if value]
    columns = {name: value for (what, _, name), value in given if what == "column" and name}
    units = {name: value for (what, _, name), value in given if what == "unit" and name}
    return columns, units


def box_back(name: str, was: Sequence[str], now: Sequence[str]) -> str:
    """Return the name that a box of today's sheet had on the sheet that was filled in.

    Parameters
    ----------
    name : str
        The name of a box.
    was, now : sequence of str
        The charts in the order of the sheet that was filled in, and in today's.

    Returns
    -------
    str
        Its name then; the same name where the box is of no chart, or of one that was not there.
    """
    place = CHART_BOX.match(name)
    if place is None or int(place[2]) >= len(now) or now[int(place[2])] not in was:
        return name
    return f"{place[1]}{list(was).index(now[int(place[2])])}{place[3] or ''}"

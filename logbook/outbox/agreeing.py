"""Whether phone and server came to the same verdict on what a person wrote down."""

from collections.abc import Mapping, Sequence
from typing import Any


def judged_lines(excursions: Sequence[Mapping[str, Any]]) -> list[tuple[str, str | None, str | None]]:
    """Return what readings called for, in an order of their own.

    Parameters
    ----------
    excursions : sequence of mapping
        Of a verdict document; those that a trace shows are left out.

    Returns
    -------
    list of (str, str or None, str or None)
        Chart, area, and the area at worst.
    """
    read = [one for one in excursions if one.get("evidence", "reading") == "reading"]
    lines = [(str(one["chart"]), one.get("area"), one.get("area_possible")) for one in read]
    return sorted(lines, key=lambda line: [str(part) for part in line])


def verdicts_apart(phone: Mapping[str, Any], server: Mapping[str, Any], revision: int | None) -> str:
    """Return where the two verdicts on what was written down differ.

    Parameters
    ----------
    phone : mapping
        ``revision``, the number of the limits that the phone had, and ``excursions``; empty where it judged nothing.
    server : mapping
        The server's verdict document; empty where there was nothing to judge.
    revision : int or None
        The number of the limits that the server judged with.

    Returns
    -------
    str
        Both verdicts in words, or "" where they agree or the phone said nothing.
    """
    if "excursions" not in phone:
        return ""
    theirs, ours = judged_lines(phone["excursions"]), judged_lines(server.get("excursions", []))
    if theirs == ours:
        return ""
    return (
        f"The phone, with limits revision {phone.get('revision', '?')}: {_words(theirs)}. "
        f"The server, with limits revision {revision or '?'}: {_words(ours)}. The server's counts."
    )


def _words(lines: Sequence[tuple[str, str | None, str | None]]) -> str:
    return "; ".join(f"{chart}, {possible or area or 'no area'}" for chart, area, possible in lines) or "nothing"

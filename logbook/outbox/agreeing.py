"""Whether phone and server came to the same verdict on what a person wrote down, or a recorder's file shows."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

READING: Final = "reading"
TRACE: Final = "trace"


def judged_lines(excursions: Sequence[Mapping[str, Any]]) -> list[tuple[str, str | None, str | None]]:
    """Return what evidence called for, in an order of its own.

    Parameters
    ----------
    excursions : sequence of mapping
        Of a verdict document.

    Returns
    -------
    list of (str, str or None, str or None)
        Chart, area, and the area at worst.
    """
    lines = [(str(one["chart"]), one.get("area"), one.get("area_possible")) for one in excursions]
    return sorted(lines, key=lambda line: [str(part) for part in line])


def verdicts_apart(
    phone: Mapping[str, Any], server: Mapping[str, Any], revision: int | None, evidence: str = READING
) -> str:
    """Return where the two verdicts on the same evidence differ.

    Parameters
    ----------
    phone : mapping
        ``revision``, the number of the limits that the phone had, and ``excursions``, all of that evidence; empty where
        it judged nothing.
    server : mapping
        The server's verdict document; empty where there was nothing to judge.
    revision : int or None
        The number of the limits that the server judged with.
    evidence : str
        What the phone judged: `READING`, what was written down, or `TRACE`, a recorder's file.

    Returns
    -------
    str
        Both verdicts in words, or "" where they agree or the phone said nothing.
    """
    if "excursions" not in phone:
        return ""
    # A trace's excursions name no evidence in the verdict document; what was read does.
    same = [one for one in server.get("excursions", []) if (one.get("evidence") or TRACE) == evidence]
    theirs, ours = judged_lines(phone["excursions"]), judged_lines(same)
    if theirs == ours:
        return ""
    return (
        f"The phone, with limits revision {phone.get('revision', '?')}: {_words(theirs)}. "
        f"The server, with limits revision {revision or '?'}: {_words(ours)}. The server's counts."
    )


def _words(lines: Sequence[tuple[str, str | None, str | None]]) -> str:
    return "; ".join(f"{chart}, {possible or area or 'no area'}" for chart, area, possible in lines) or "nothing"

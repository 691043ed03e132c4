"""How dates, times and blanks are written on paper."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any, Final

from engines.times import hours_text
from inspections.drawing.words import quantity

NOT_RECORDED: Final = "not recorded"
DEMO: Final = "Demo: everything here is invented; no limit shown is real."
CAUTION: Final = (
    "Approved data, local rules and licensed practice come first. What a run calls for is proposed by this tool; "
    "a person decides and signs."
)
UNSIGNED: Final = "This file carries no electronic signature of the operator."
COPY: Final = "Copy of an electronic record."
NOTHING_BELOW: Final = "No entries below this line"
DIGEST_DIGITS: Final = 16
KINDS: Final = {
    "run": "Run",
    "exceedance": "Run beyond a limit",
    "inspection": "Inspection",
    "part_fitted": "Part fitted",
    "part_removed": "Part removed",
    "part_limit": "Limit of a part",
    "part_done": "Part overhauled or inspected",
    "task": "Task recorded",
    "first_start_plan": "First-start plan",
    "programme": "Inspection programme selected",
    "handover": "Handover",
    "addendum": "Addendum",
    "opening": "Opening balance",
    "work": "Maintenance",
    "meter_change": "Hour meter changed",
    "trace": "Recorded trace",
    "reading": "Reading written down",
    "ground_run": "Ground run",
    "flight": "Flight",
    "motoring": "Motoring",
    "dry_motoring": "Dry motoring",
    "wet_motoring": "Wet motoring",
    "start_attempt": "Start attempt",
    "first_start": "First-start attempt",
}


def given(value: Any) -> str:
    """Return a value as text, or the words for a blank.

    Parameters
    ----------
    value : str, number, date or None
        What was recorded.

    Returns
    -------
    str
        The text; ``"not recorded"`` for None and for text without a letter.
    """
    return NOT_RECORDED if value is None or not str(value).strip() else str(value).strip()


def kind_text(kind: Any) -> str:
    """Return the words for a kind of entry, run or evidence.

    Parameters
    ----------
    kind : str or None
        The kind as it is stored.

    Returns
    -------
    str
        For example ``"Ground run"``; a kind without words of its own as it is, its underscores as blanks.
    """
    text = given(kind)
    return KINDS.get(text, text.replace("_", " "))


def yes_no(answer: Any) -> str:
    """Return ``"yes"``, ``"no"`` or ``"not recorded"``.

    Parameters
    ----------
    answer : bool or None
        What was recorded.

    Returns
    -------
    str
        The word.
    """
    return NOT_RECORDED if answer is None else "yes" if answer else "no"


def hours_given(seconds: int | None, places: int = 1) -> str:
    """Return hours of a time in whole seconds, with the unit.

    Parameters
    ----------
    seconds : int or None
        The time. [s]
    places : int
        Decimal places of the hours.

    Returns
    -------
    str
        For example ``"1204.3 h"``; ``"not recorded"`` for None.
    """
    return NOT_RECORDED if seconds is None else f"{hours_text(seconds, places)} h"


def _offset(moment: datetime) -> str:
    offset = moment.utcoffset()
    if offset is None:
        return "(UTC offset not recorded)"
    if not offset:
        return "UTC"
    sign = "-" if offset < timedelta(0) else "+"
    minutes = int(abs(offset).total_seconds()) // 60
    return f"UTC{sign}{minutes // 60:02d}:{minutes % 60:02d}"


def moment_text(moment: datetime | str | None) -> str:
    """Return a date and time with its offset from UTC.

    Parameters
    ----------
    moment : datetime, str or None
        The moment, or its ISO 8601 text.

    Returns
    -------
    str
        For example ``"2026-05-04 09:30 UTC+02:00"``; text that is no moment as it is.
    """
    if isinstance(moment, str) and moment.strip():
        try:
            moment = datetime.fromisoformat(moment)
        except ValueError:
            return given(moment)
    return f"{moment:%Y-%m-%d %H:%M} {_offset(moment)}" if isinstance(moment, datetime) else NOT_RECORDED


def day_text(day: date | str | None) -> str:
    """Return a date.

    Parameters
    ----------
    day : date, str or None
        The date, or the ISO 8601 text of it or of a moment.

    Returns
    -------
    str
        For example ``"2026-05-04"``.
    """
    if isinstance(day, date):
        return f"{day:%Y-%m-%d}"
    text = given(day)
    return text[:10] if text[10:11] in ("T", " ") else text


def completed_of(body: Mapping[str, Any]) -> str:
    """Return the date on which what an entry records was completed: the work's, or the run's.

    Parameters
    ----------
    body : mapping
        Body of an entry.

    Returns
    -------
    str
        The date, or ``"not recorded"``.
    """
    release, run = body.get("release") or {}, body.get("run") or {}
    if body.get("completed_on"):
        return day_text(body["completed_on"])
    return day_text(release.get("completed_on") if release else run.get("started_at"))


def none_or_blank(found: Any) -> str:
    """Return ``"none"`` where nothing was found, and ``"not recorded"`` where nobody looked.

    Parameters
    ----------
    found : sequence or None
        An empty sequence, or None.

    Returns
    -------
    str
        The words.
    """
    return NOT_RECORDED if found is None else "none"


def read_as_words(item: Mapping[str, Any]) -> str:
    """Return what a reading typed in another unit was turned into, and by what.

    Parameters
    ----------
    item : mapping
        ``converted``, ``converted_unit`` and ``converted_by``.

    Returns
    -------
    str
        For example ``"judged as 86 % by the engine's own calibration of 2026-05-02, sheet 14"``.
    """
    by = item.get("converted_by")
    said = f"judged as {quantity(round(float(item['converted']), 2), item.get('converted_unit') or '')}"
    return f"{said}, by {by}" if by else said


def listed(values: Sequence[str] | None) -> str:
    """Return several texts as one.

    Parameters
    ----------
    values : sequence of str or None
        The texts.

    Returns
    -------
    str
        The texts with commas between, or ``"none"``.
    """
    return ", ".join(values) if values else "none"

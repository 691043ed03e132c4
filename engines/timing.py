"""What an event timer hands over: stretches beyond limits and marks of a start, each with the time it was pressed."""

import json
import math
from collections.abc import Iterable
from datetime import datetime
from typing import Any, Final

MARKS: Final = {"starter": "Starter", "light_off": "Light-off", "idle": "Idle"}
MOST_PRESSES = 200
LONGEST_TEXT = 60_000
WRONG = "What the timer sent can't be read. Type the seconds instead, and go on without it."


def timed_read(text: str, charts: Iterable[str]) -> dict[str, Any]:
    """Return a timer's record, checked.

    Parameters
    ----------
    text : str
        JSON: ``stretches`` (``chart``, ``began_at``, ``ended_at``, ``seconds``, ``clocks_apart_s``), ``marks``
        (``name``, ``at``) and ``taken_back``, how many presses were taken back; "" where nothing was timed.
    charts : iterable of str
        Names of the limit charts that a stretch may belong to.

    Returns
    -------
    dict
        The record with nothing else in it; empty where nothing was timed.

    Raises
    ------
    ValueError
        If it is anything else; the message says what to do.
    """
    if not text.strip():
        return {}
    if len(text) > LONGEST_TEXT:
        raise ValueError(WRONG)
    try:
        sent = json.loads(text)
        known = set(charts)
        record: dict[str, Any] = {
            "stretches": [_stretch(item, known) for item in sent["stretches"]],
            "marks": [{"name": _mark(item["name"]), "at": _moment(item["at"])} for item in sent["marks"]],
            "taken_back": _count(sent["taken_back"]),
        }
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise ValueError(WRONG) from error
    if len(record["stretches"]) + len(record["marks"]) > MOST_PRESSES:
        raise ValueError(WRONG)
    return record


def timed_seconds(record: dict[str, Any], chart: str) -> float | None:
    """Return how long a limit was passed in all, as timed.

    Parameters
    ----------
    record : dict
        What :func:`timed_read` returned.
    chart : str
        Name of a limit chart.

    Returns
    -------
    float or None
        Seconds to the tenth, None where nothing of that chart was timed. [s]
    """
    found = [stretch["seconds"] for stretch in record.get("stretches", ()) if stretch["chart"] == chart]
    return round(math.fsum(found), 1) if found else None


def timed_words(record: dict[str, Any]) -> list[str]:
    """Return a timer's record in sentences.

    Parameters
    ----------
    record : dict
        What :func:`timed_read` returned.

    Returns
    -------
    list of str
        One sentence for each stretch, mark and doubt.
    """
    said = [
        f"{s['chart']}: timed {s['seconds']:.1f} s, pressed at {_clock(s['began_at'])} and {_clock(s['ended_at'])}."
        for s in record.get("stretches", ())
    ]
    apart = max((abs(s["clocks_apart_s"] or 0.0) for s in record.get("stretches", ())), default=0.0)
    said += [f"{MARKS[mark['name']]} pressed at {_clock(mark['at'])}." for mark in record.get("marks", ())]
    if apart > 0.5:
        said.append(f"The phone's two clocks disagreed by {apart:.1f} s; the longer time was taken.")
    if back := record.get("taken_back"):
        said.append(f"{back} press{'es' if back > 1 else ''} taken back.")
    return said


def _stretch(item: dict[str, Any], charts: set[str]) -> dict[str, Any]:
    if item["chart"] not in charts:
        raise ValueError(item["chart"])
    apart = item["clocks_apart_s"]
    began, ended = _moment(item["began_at"]), _moment(item["ended_at"])
    seconds = _seconds(item["seconds"])
    return {
        "chart": item["chart"],
        "began_at": began,
        "ended_at": ended,
        "seconds": seconds,
        "clocks_apart_s": None if apart is None else _finite(apart),
    }


def _mark(name: str) -> str:
    return name if name in MARKS else _refused(name)


def _moment(text: str) -> str:
    return text if datetime.fromisoformat(text).tzinfo is not None else _refused(text)


def _clock(moment: str) -> str:
    return moment[11:19]


def _finite(value: object) -> float:
    number = float(value) if isinstance(value, int | float) and not isinstance(value, bool) else math.nan
    if not math.isfinite(number):
        raise ValueError(value)
    return number


def _seconds(value: object) -> float:
    number = _finite(value)
    if number < 0:
        raise ValueError(value)
    return number


def _count(value: object) -> int:
    if not isinstance(value, int) or not 0 <= value <= MOST_PRESSES:
        raise ValueError(value)
    return value


def _refused(value: str) -> str:
    raise ValueError(value)

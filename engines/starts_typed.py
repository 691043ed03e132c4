"""What can be told of a start of which no trace was recorded: from the event timer's marks and a typed peak."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any, Final

from engines.start_rules import StartRules
from engines.starts import StartFigures

TIMED: Final = "Timed by an observer, with no trace: what was not pressed is not recorded."
WRITTEN: Final = "Written down by a person, with no trace."


def typed_starts(
    marks: Sequence[Mapping[str, Any]],
    began: datetime,
    peaks: Sequence[float],
    rules: StartRules,
    *,
    starter_s: float | None = None,
    is_motoring: bool = False,
) -> tuple[StartFigures, ...]:
    """Return the starts of a run without a trace.

    Parameters
    ----------
    marks : sequence of mapping
        The event timer's marks: ``name`` (starter, light_off or idle) and ``at`` (ISO 8601), in the order pressed.
    began : datetime
        When the run began.
    peaks : sequence of float
        The highest temperatures that were written down against a limit of starting. [temperature channel's unit]
    rules : StartRules
        What the type says of starts.
    starter_s : float or None
        How long the starter was engaged, as it was written down. [s]
    is_motoring : bool
        Whether the run was stated to be a motoring run, in which nothing lights.

    Returns
    -------
    tuple of StartFigures
        One for each press of the starter, or one without times where only a peak was written down. A peak is given to
        a start only where there is one start and one peak: of which of two it is, nobody wrote; and so is how long the
        starter was engaged, from the beginning of the run where no press says when. Lengths count from the press of
        the starter.
    """
    groups = _pressed(marks, began) or _written(peaks, starter_s)
    is_one = len(groups) == 1
    if is_one and starter_s is not None:
        groups[0]["let_go"] = groups[0]["starter"] + starter_s
    peak = peaks[0] if len(peaks) == 1 and is_one else None
    found = (_start(group, peak, rules) for group in groups)
    return tuple(replace(start, outcome="motoring") if is_motoring and _unlit(start) else start for start in found)


def _pressed(marks: Sequence[Mapping[str, Any]], began: datetime) -> list[dict[str, float]]:
    """Return the marks of each press of the starter by name, in seconds from the beginning of the run."""
    groups: list[dict[str, float]] = []
    for mark in marks:
        if mark["name"] == "starter" or not groups:
            groups.append({})
        groups[-1].setdefault(mark["name"], (datetime.fromisoformat(mark["at"]) - began).total_seconds())
    return [group for group in groups if "starter" in group]


def _written(peaks: Sequence[float], starter_s: float | None) -> list[dict[str, float]]:
    """Return the one start that is known of where nothing was pressed; none where nothing was written down either."""
    if starter_s is not None:
        return [{"starter": 0.0}]
    return [{}] if len(peaks) == 1 else []


def _unlit(start: StartFigures) -> bool:
    return start.light_off_s is None and start.outcome == "unknown"


def _start(marks: Mapping[str, float], peak: float | None, rules: StartRules) -> StartFigures:
    starter, lit, idle = (marks.get(name) for name in ("starter", "light_off", "idle"))
    is_hot = peak is not None and rules.hot_above is not None and peak > rules.hot_above
    ended = "unknown" if idle is None else "started"
    return StartFigures(
        turning_s=starter or 0.0,
        end_s=max(marks.values(), default=0.0),
        starter_s=starter,
        starter_off_s=marks.get("let_go"),
        light_off_s=lit,
        to_light_off=_since(starter, lit),
        peak=peak,
        idle_s=idle,
        to_idle=_since(starter, idle),
        outcome="hot" if is_hot else ended,
        also=(ended,) if is_hot and idle is not None else (),
        notes=(_basis(marks),),
    )


def _basis(marks: Mapping[str, float]) -> str:
    """Return whence the start is known: pressed by an observer, or no more than written down."""
    return WRITTEN if marks.keys() <= {"starter", "let_go"} and len(marks) != 1 else TIMED


def _since(starter: float | None, moment: float | None) -> float | None:
    return None if starter is None or moment is None or moment < starter else moment - starter

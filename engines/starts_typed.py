"""What can be told of a start of which no trace was recorded: from the event timer's marks and a typed peak."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from engines.start_rules import StartRules
from engines.starts import StartFigures

TIMED: Final = "Timed by an observer, with no trace: what was not pressed is not recorded."
WRITTEN: Final = "Written down by a person, with no trace."


def typed_starts(
    marks: Sequence[Mapping[str, Any]], began: datetime, peaks: Sequence[float], rules: StartRules
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

    Returns
    -------
    tuple of StartFigures
        One for each press of the starter, or one without times where only a peak was written down. A peak is given to
        a start only where there is one start and one peak: of which of two it is, nobody wrote. Lengths count from
        the press of the starter.
    """
    groups: list[dict[str, float]] = []
    for mark in marks:
        if mark["name"] == "starter" or not groups:
            groups.append({})
        groups[-1].setdefault(mark["name"], (datetime.fromisoformat(mark["at"]) - began).total_seconds())
    groups = [group for group in groups if "starter" in group]
    if not groups and len(peaks) == 1:
        groups.append({})
    peak = peaks[0] if len(peaks) == 1 and len(groups) == 1 else None
    return tuple(_start(group, peak, rules) for group in groups)


def _start(marks: Mapping[str, float], peak: float | None, rules: StartRules) -> StartFigures:
    starter, lit, idle = (marks.get(name) for name in ("starter", "light_off", "idle"))
    is_hot = peak is not None and rules.hot_above is not None and peak > rules.hot_above
    ended = "unknown" if idle is None else "started"
    return StartFigures(
        turning_s=starter or 0.0,
        end_s=max(marks.values(), default=0.0),
        starter_s=starter,
        light_off_s=lit,
        to_light_off=_since(starter, lit),
        peak=peak,
        idle_s=idle,
        to_idle=_since(starter, idle),
        outcome="hot" if is_hot else ended,
        also=(ended,) if is_hot and idle is not None else (),
        notes=(TIMED if marks else WRITTEN,),
    )


def _since(starter: float | None, moment: float | None) -> float | None:
    return None if starter is None or moment is None or moment < starter else moment - starter

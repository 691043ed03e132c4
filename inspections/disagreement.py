"""Where what a person wrote of a run and what its recorded trace shows do not agree."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from engines.charts import LimitChart
from engines.meter import MeterBefore, meter_doubts, meter_question
from engines.regimes import Usage
from engines.times import hours_text
from inspections.drawing.words import count_text
from inspections.verdict import Excursion

HOURS_APART_S: Final = 360  # typed and traced run time may differ by 0.1 h: meters and people round to tenths
READING: Final = "reading"


@dataclass(frozen=True)
class Disagreement:
    """What two kinds of evidence of one run say differently, in words."""

    about: str
    words: str


def areas_apart(charts: Sequence[LimitChart], excursions: Sequence[Excursion], read: set[str]) -> list[Disagreement]:
    """Return the charts of which readings and trace enter different areas.

    Parameters
    ----------
    charts : sequence of LimitChart
        The charts by which the run was judged, of those that the trace could be judged by.
    excursions : sequence of Excursion
        The verdict's excursions, of trace and readings together.
    read : set of str
        The charts of which something was written down.

    Returns
    -------
    list of Disagreement
        One for each chart whose worst area by readings is not its worst area by the trace.
    """
    found = []
    for chart in charts:
        if chart.name not in read:
            continue
        own = [excursion for excursion in excursions if excursion.chart == chart.name]
        typed = _worst(chart, [e for e in own if e.evidence == READING])
        traced = _worst(chart, [e for e in own if e.evidence != READING])
        if typed != traced:
            words = f"what was written down enters {_area(chart, typed)}, the trace {_area(chart, traced)}"
            found.append(Disagreement(chart.name, words))
    return found


def _worst(chart: LimitChart, excursions: Sequence[Excursion]) -> int:
    order = [area.name for area in chart.areas]
    return max((order.index(e.area_possible) for e in excursions if e.area_possible in order), default=-1)


def _area(chart: LimitChart, place: int) -> str:
    return "no area" if place < 0 else f"area {chart.areas[place].name}"


def usage_apart(
    usage: Usage | None, *, run_time_s: int | None, starts: int | None, cycles: int | None
) -> list[Disagreement]:
    """Return where typed run time, starts and cycles differ from what the trace shows.

    Parameters
    ----------
    usage : Usage or None
        What the trace shows; None where it shows nothing of the kind.
    run_time_s : int or None
        The typed run time; None where none was typed. [s]
    starts, cycles : int or None
        The typed counts; None where none were typed.

    Returns
    -------
    list of Disagreement
        Run time only where it is more than 0.1 h apart, counts where they are not the same.
    """
    if usage is None:
        return []
    found = []
    traced_s = round(usage.hours * 3600)
    if run_time_s is not None and abs(run_time_s - traced_s) > HOURS_APART_S:
        words = f"{hours_text(run_time_s, 2)} h was written down, the trace shows {hours_text(traced_s, 2)} h"
        found.append(Disagreement("Run time", words))
    for about, typed, traced in (("Starts", starts, usage.starts), ("Cycles", cycles, usage.cycles)):
        if typed is not None and typed != traced:
            found.append(Disagreement(about, f"{typed} was written down, the trace shows {traced}"))
    return found


def motoring_apart(usage: Usage | None, kind: str) -> list[Disagreement]:
    """Return where a run that was stated to be motoring lit up by its trace.

    Parameters
    ----------
    usage : Usage or None
        What the trace shows; None where it shows nothing of the kind.
    kind : str
        What the run was stated to be, in words.

    Returns
    -------
    list of Disagreement
        One where the trace shows a light-off, else none.
    """
    if usage is None or not usage.starts:
        return []
    words = f"it was stated to be {kind.lower()}, the trace shows {count_text(usage.starts, 'light-off')}"
    return [Disagreement("Starts", words)]


def besides_apart(
    shown: Mapping[str, int], *, time_in_service_s: int | None, partial_cycles: int | None
) -> list[Disagreement]:
    """Return where typed time in service and partial cycles differ from what the trace shows by the type's rules.

    Parameters
    ----------
    shown : mapping of str to int
        ``time_in_service_s`` and ``partial_cycles``, where the trace tells them. [s, pieces]
    time_in_service_s : int or None
        The typed time in service; None where none was typed. [s]
    partial_cycles : int or None
        The typed count; None where none was typed.

    Returns
    -------
    list of Disagreement
        Time in service only where it is more than 0.1 h apart, the count where it is not the same.
    """
    found = []
    flown = shown.get("time_in_service_s")
    if flown is not None and time_in_service_s is not None and abs(time_in_service_s - flown) > HOURS_APART_S:
        words = f"{hours_text(time_in_service_s, 2)} h was written down, the trace shows {hours_text(flown, 2)} h"
        found.append(Disagreement("Time in service", words))
    traced = shown.get("partial_cycles")
    if traced is not None and partial_cycles not in (None, traced):
        found.append(Disagreement("Partial cycles", f"{partial_cycles} was written down, the trace shows {traced}"))
    return found


def meter_apart(
    usage: Usage | None, *, meter_h: float | None, before: MeterBefore | None, run_time_s: int | None
) -> list[Disagreement]:
    """Return where the hour meter and the run time that the trace shows differ.

    Parameters
    ----------
    usage : Usage or None
        What the trace shows; None where it shows nothing of the kind.
    meter_h : float or None
        The hour meter at the end of the run; None where nobody read it. [h]
    before : MeterBefore or None
        The reading before it; None where there is none.
    run_time_s : int or None
        The typed run time, with which the meter was compared when it was typed; None where none was. [s]

    Returns
    -------
    list of Disagreement
        The question that would have been asked, had the trace come with the reading. Nothing where a run time was
        typed, and where the meter went back, both of which were asked about without the trace.
    """
    if usage is None or meter_h is None or before is None or run_time_s is not None:
        return []
    typed, run_h = Decimal(repr(meter_h)), Decimal(round(usage.hours * 3600)) / 3600
    doubts = meter_doubts(typed, before, run_h)
    if "timer" not in doubts or "backwards" in doubts:
        return []
    return [Disagreement("Hour meter", meter_question(typed, before, run_h))]

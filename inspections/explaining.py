"""How a verdict on one excursion was reached: the samples it rests on, and each area's allowed time worked through."""

from dataclasses import dataclass
from itertools import pairwise
from math import isclose

import numpy as np

from engines.charts import Channel, EngineTypeData, LimitChart
from engines.edges import edge_of
from engines.traces import Floats, Trace
from inspections.chart_judging import ChartView
from inspections.curve import Curve, Rectangle
from inspections.exceedance import view_of
from inspections.excursions import Spell
from inspections.paths import Gap
from inspections.readings import reading_shapes
from inspections.verdict import Excursion

SAME_TIME = 1e-6  # [s]
Shape = Curve | Rectangle


@dataclass(frozen=True)
class Check:
    """One area held against what was read, at the value that decides; no value where the area's were never reached.

    ``begins`` is the value at which the area begins. ``is_reached`` says that time at the value itself counts,
    ``is_whole`` that all the time is taken to be at the value.
    [chart's unit as read, s]
    """

    area: str
    begins: float
    is_entered: bool
    value: float | None = None
    spent_s: float = 0.0
    allowed_s: float = 0.0
    is_reached: bool = False
    is_whole: bool = False

    @property
    def over_s(self) -> float:
        """Return the time spent beyond what is allowed; negative where it is short of it. [s]"""
        return self.spent_s - self.allowed_s


@dataclass(frozen=True)
class Case:
    """One excursion of a verdict with what it was judged from.

    ``view`` is None for a reading that a person wrote down, ``proven`` also where no sample proves the excursion.
    ``possible`` is the excursion as it may have been, gaps filled and tolerance added.
    """

    excursion: Excursion
    chart: LimitChart
    channel: Channel
    max_gap_s: float
    times: Floats | None = None
    view: ChartView | None = None
    proven: Spell | None = None
    possible: Spell | None = None

    @property
    def shapes(self) -> tuple[Shape | None, Shape | None]:
        """Return what was held against the areas: as proven, and as it may have been; None where there is none."""
        if self.excursion.evidence is not None:
            return reading_shapes(self.chart, self.excursion.peak, self.excursion.seconds_above)
        return self._shape(self.proven), self._shape(self.possible)

    def _shape(self, spell: Spell | None) -> Shape | None:
        if self.view is None or spell is None:
            return None
        return self.view.shape(spell.curve(self.view.bound), spell.peak)

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Return the gaps that the excursion at worst is spent in, each with its higher end. [s, turned unit]"""
        if self.view is None or self.possible is None:
            return ()
        start, end = self.possible.start_s, self.possible.end_s
        found = [gap for path in self.view.paths for gap in path.gaps if gap.start_s < end and gap.end_s > start]
        levels = np.array([gap.level for gap in found]) + self.view.tolerance
        return tuple(gap for gap, beyond in zip(found, self.view.bound.passed_by(levels), strict=True) if beyond)

    @property
    def stays(self) -> tuple[tuple[float, float], ...]:
        """Return from when to when each unbroken stay beyond the limit lasted. [s]"""
        return () if self.proven is None else tuple((stay.start_s, stay.end_s) for stay in self.proven.stays)


def case_of(excursion: Excursion, engine_type: EngineTypeData, trace: Trace | None) -> Case:
    """Return an excursion with what it was judged from, found again in the trace.

    Parameters
    ----------
    excursion : Excursion
        One of the verdict's.
    engine_type : EngineTypeData
        The revision that judged.
    trace : Trace or None
        The trace that was judged, channels in their own units; None where none is at hand.

    Returns
    -------
    Case
        Without a view for a reading, and where there is no trace.

    Raises
    ------
    KeyError
        If the type has no chart of the excursion's name.
    """
    chart = {chart.name: chart for chart in engine_type.charts}[excursion.chart]
    case = Case(excursion, chart, engine_type.channel(chart.channel), engine_type.gap_of(chart.channel))
    if trace is None or excursion.evidence is not None:
        return case
    view = view_of(trace, engine_type, chart)
    proven = view.proven()
    possible = view.possible(proven)
    return Case(
        excursion,
        chart,
        case.channel,
        case.max_gap_s,
        times=trace.times,
        view=view,
        proven=_same(proven, excursion),
        possible=possible[excursion.possible - 1] if excursion.possible <= len(possible) else None,
    )


def _same(spells: list[Spell], excursion: Excursion) -> Spell | None:
    ends = (excursion.start_s or 0.0, excursion.end_s or 0.0)
    for spell in spells:
        pairs = zip(ends, (spell.start_s, spell.end_s), strict=True)
        if all(isclose(said, found, abs_tol=SAME_TIME) for said, found in pairs):
            return spell
    return None


def checks_of(chart: LimitChart, shape: Shape) -> tuple[Check, ...]:
    """Return each area of a chart held against what was read.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    shape : Curve or Rectangle
        What is held against its areas. [turned chart's unit, s]

    Returns
    -------
    tuple of Check
        One for each area, mildest first. The time over is the most by which the time spent anywhere exceeds the time
        allowed there, so it is the margin where the area was not entered.
    """
    checks = []
    for area in chart.areas:
        edge = edge_of(chart, area)
        met, is_entered = shape.deciding(edge), shape.enters(edge)
        begins = chart.sign * edge.first
        if met is None:
            checks.append(Check(area.name, begins, is_entered))
        else:
            figures = (chart.sign * met.value, met.spent_s, met.allowed_s, met.is_reached)
            checks.append(Check(area.name, begins, is_entered, *figures, is_whole=isinstance(shape, Rectangle)))
    return tuple(checks)


@dataclass(frozen=True)
class Samples:
    """The samples of an excursion and some around it.

    ``rows`` are rows of the trace, counted from 0; ``values`` are as read, NaN where there is no valid sample;
    ``beyond_s`` is the time beyond the limit from the row before to this one, so that all together are the
    excursion's. All have shape (n,). [s, chart's unit, s]
    """

    rows: np.ndarray[tuple[int, ...], np.dtype[np.intp]]
    times: Floats
    values: Floats
    beyond_s: Floats


def samples_of(case: Case, around: int) -> Samples | None:
    """Return the samples of an excursion, and so many rows before and after it.

    Parameters
    ----------
    case : Case
        The excursion.
    around : int
        Rows wanted on either side, 0 or more.

    Returns
    -------
    Samples or None
        None for a reading, and where there is no trace.

    Notes
    -----
    Between two samples no further apart than the channel's longest step the reading is taken to run in a straight
    line, and only the part of that line beyond the limit is counted. Across a longer step nothing is counted.
    """
    if case.view is None or case.times is None:
        return None
    times, excursion = case.times, case.excursion
    first = int(np.searchsorted(times, excursion.start_s or 0.0, side="left"))
    last = int(np.searchsorted(times, excursion.end_s or 0.0, side="right"))
    rows = np.arange(max(first - around, 0), min(last + around, times.size))
    beyond = np.zeros(times.size)
    for stay in () if case.proven is None else case.proven.stays:
        corners = stay.corners(case.view.bound.limit)[0].tolist()
        for start, end in pairwise(corners):
            beyond[min(int(np.searchsorted(times, end, side="left")), times.size - 1)] += end - start
    return Samples(rows, times[rows], case.chart.sign * case.view.values[rows], beyond[rows])


def peak_row(samples: Samples, case: Case) -> int | None:
    """Return the place among some samples of the excursion's worst, or None where none of them has its value.

    Parameters
    ----------
    samples : Samples
        The samples.
    case : Case
        The excursion.

    Returns
    -------
    int or None
        Counted from 0; None for instance where the edge of a regime cuts the peak between two samples.
    """
    peak, start, end = case.excursion.peak, case.excursion.start_s or 0.0, case.excursion.end_s or 0.0
    inside = (samples.times >= start) & (samples.times <= end)
    found = np.flatnonzero(inside & np.isclose(samples.values, np.nan if peak is None else peak, rtol=1e-9, atol=0.0))
    return int(found[0]) if found.size else None

"""One chart over one trace: its excursions, the areas they enter, and their margins."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from engines.charts import LimitChart
from engines.edges import edge_of
from engines.traces import Floats
from inspections.curve import Curve, Rectangle
from inspections.excursions import Bound, Spell, Stay, begins_in, rejoined, stays_of
from inspections.paths import Path, fill
from inspections.verdict import Excursion, Level, Margin


@dataclass(frozen=True)
class ChartView:
    """One chart over one trace: the channel turned and in the chart's unit, and what of it is judged.

    ``paths`` are the parts judged; ``starting`` holds the starting stretches of a chart that judges the
    excursions of starts, else None. ``values`` has shape (n,), not finite where there is no valid sample.
    """

    chart: LimitChart
    bound: Bound
    tolerance: float
    whole: Path
    paths: tuple[Path, ...]
    starting: tuple[tuple[float, float], ...] | None
    values: Floats

    def proven(self) -> list[Spell]:
        """Return the excursions that the samples prove."""
        return self._judged([stay for path in self.paths for stay in stays_of(path, self.bound)], holding=())

    def possible(self, proven: Sequence[Spell]) -> list[Spell]:
        """Return the excursions of the filled and raised trace; each proven one lies in one of them."""
        limit, is_closed = self.bound.limit, self.bound.is_closed
        paths = (fill(path, limit, self.tolerance, is_closed=is_closed) for path in self.paths)
        return self._judged([stay for path in paths for stay in stays_of(path, self.bound)], holding=proven)

    def _judged(self, stays: list[Stay], *, holding: Sequence[Spell]) -> list[Spell]:
        if self.starting is not None:
            apart = rejoined(stays, self.chart.rejoin_s, whole_run=False)
            kept = (spell for spell in apart if self._is_of_a_start(spell) or spell.holds_any(holding))
            stays = [stay for spell in kept for stay in spell.stays]
        return rejoined(stays, self.chart.rejoin_s, whole_run=self.chart.accumulate == "run")

    def _is_of_a_start(self, spell: Spell) -> bool:
        return any(begins_in(spell, *at, is_closed=self.bound.is_closed) for at in self.starting or ())

    def shape(self, curve: Curve, peak: float) -> Curve | Rectangle:
        """Return what is held against the areas, by the chart's method."""
        if self.chart.method == "peak":
            return Rectangle(curve.total, peak, self.bound.is_closed)
        return curve


def area_entered(chart: LimitChart, shape: Curve | Rectangle) -> int:
    """Return the place of the most severe area entered.

    Parameters
    ----------
    chart : LimitChart
        The chart, its areas mildest first.
    shape : Curve or Rectangle
        What is held against them. [turned chart's unit, s]

    Returns
    -------
    int
        Counted from 0; -1 for none.
    """
    entered = [k for k, area in enumerate(chart.areas) if shape.enters(edge_of(chart, area))]
    return max(entered, default=-1)


def area_name(chart: LimitChart, place: int) -> str | None:
    """Return the name of the area at a place.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    place : int
        As :func:`area_entered` gives it.

    Returns
    -------
    str or None
        None for -1.
    """
    return chart.areas[place].name if place >= 0 else None


def margin_of(chart: LimitChart, shape: Curve | Rectangle, entered: int) -> Margin | None:
    """Return the margin to the next more severe area.

    Parameters
    ----------
    chart : LimitChart
        The chart.
    shape : Curve or Rectangle
        What is held against its areas. [turned chart's unit, s]
    entered : int
        Place of the area entered, -1 for none.

    Returns
    -------
    Margin or None
        None where the most severe area is entered, or the chart has none. [s, chart's unit]
    """
    if entered + 1 >= len(chart.areas):
        return None
    area = chart.areas[entered + 1]
    edge = edge_of(chart, area)
    return Margin(next_area=area.name, seconds=shape.seconds_short(edge), value=shape.value_short(edge))


def levels_of(chart: LimitChart) -> list[float]:
    """Return the limit and every vertex level of a chart once.

    Parameters
    ----------
    chart : LimitChart
        The chart.

    Returns
    -------
    list of float
        From the limit outward, as read. [chart's unit]
    """
    values = {chart.limit} | {vertex.value for area in chart.areas for vertex in area.allowed}
    return sorted(values, key=lambda value: chart.sign * value)


def excursions_of(view: ChartView) -> tuple[list[Excursion], dict[str, float]]:
    """Return the excursions of one chart, and the seconds that they add to each of its total-time rules.

    Parameters
    ----------
    view : ChartView
        The chart and what of the trace it judges.

    Returns
    -------
    list of Excursion
        In order of start, near misses included. [s from the first row, chart's unit]
    dict
        "chart|index" of a rule to the seconds beyond its value, by the possible excursions. [s]
    """
    proven = view.proven()
    possible = view.possible(proven)
    curves = [spell.curve(view.bound) for spell in possible]
    worst = [
        area_entered(view.chart, view.shape(curve, spell.peak)) for curve, spell in zip(curves, possible, strict=True)
    ]
    starts = np.array([spell.start_s for spell in possible])
    holders = [int(np.searchsorted(starts, spell.start_s + 1e-9, side="right")) - 1 for spell in proven]
    found = [_proven(view, spell, holder, worst[holder]) for spell, holder in zip(proven, holders, strict=True)]
    for k in sorted(set(range(len(possible))) - set(holders)):
        if worst[k] >= 0:
            found.append(_possible_only(view, possible[k], k, worst[k]))
    found.sort(key=lambda excursion: (excursion.start_s or 0.0, excursion.end_s or 0.0))
    return found, _totals(view.chart, curves)


def _totals(chart: LimitChart, curves: Sequence[Curve]) -> dict[str, float]:
    """Return the seconds that the possible excursions add to each total-time rule."""
    rules = ((k, chart.sign * r.above) for k, r in enumerate(chart.repeats) if r.above is not None)
    return {f"{chart.name}|{k}": sum(curve.beyond(value) for curve in curves) for k, value in rules}


def _proven(view: ChartView, spell: Spell, holder: int, worst: int) -> Excursion:
    chart, curve = view.chart, spell.curve(view.bound)
    shape = view.shape(curve, spell.peak)
    entered = area_entered(chart, shape)
    levels = (Level(value, curve.beyond(chart.sign * value)) for value in levels_of(chart))
    return replace(
        _listed(view, spell, holder),
        peak=chart.sign * spell.peak,
        seconds_above=curve.total,
        levels=tuple(levels),
        area=area_name(chart, entered),
        area_possible=area_name(chart, max(worst, entered)),
        margin=margin_of(chart, shape, entered),
    )


def _possible_only(view: ChartView, spell: Spell, place: int, worst: int) -> Excursion:
    rows = np.concatenate([stay.rows for stay in spell.stays])
    peak = float(view.values[rows].max()) * view.chart.sign if rows.size else None
    listed = _listed(view, spell, place)
    return replace(listed, peak=peak, area_possible=area_name(view.chart, worst))


def _listed(view: ChartView, spell: Spell, place: int) -> Excursion:
    """Return an excursion with its extent and number, as yet without time above and without area."""
    chart, rows = view.chart, view.whole.rows
    return Excursion(
        chart=chart.name,
        channel=chart.channel,
        unit=chart.unit,
        side=chart.side,
        start_s=spell.start_s,
        end_s=spell.end_s,
        open_ended=spell.holds_row(int(rows[0]), int(rows[-1])),
        peak=None,
        seconds_above=0.0,
        levels=tuple(Level(value, 0.0) for value in levels_of(chart)),
        area=None,
        area_possible=None,
        possible=place + 1,
        margin=None,
    )

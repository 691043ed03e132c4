"""A limit chart cut into bands of value: what each calls for, in seconds and in words."""

from dataclasses import dataclass

import numpy as np

from engines.charts import LimitChart
from engines.edges import Edge, edge_of
from inspections.drawing.words import figure

Allowed = tuple[float, float]


@dataclass(frozen=True)
class Band:
    """The values from one level of a chart to the next, as read; the last band has no far end.

    ``allowed`` has for each area of the chart the seconds allowed at the near and at the far end, or None where the
    area does not reach these values. [chart's unit, s]
    """

    near: float
    far: float | None
    allowed: tuple[Allowed | None, ...]

    @property
    def severity(self) -> int | None:
        """Return the place of the most severe area that these values can enter, or None."""
        reached = [place for place, allowed in enumerate(self.allowed) if allowed is not None]
        return max(reached, default=None)


def levels_of(chart: LimitChart) -> tuple[float, ...]:
    """Return the limit and every value at which a corner of an area stands, from the limit outward.

    Parameters
    ----------
    chart : LimitChart
        The chart.

    Returns
    -------
    tuple of float
        Each value once, as read. [chart's unit]
    """
    turned = {chart.sign * chart.limit} | {chart.sign * v.value for area in chart.areas for v in area.allowed}
    return tuple(chart.sign * level for level in sorted(turned))


def bands_of(chart: LimitChart) -> tuple[Band, ...]:
    """Return the bands of a chart from its limit outward.

    Parameters
    ----------
    chart : LimitChart
        The chart.

    Returns
    -------
    tuple of Band
        As many as the chart has levels.
    """
    edges = [edge_of(chart, area) for area in chart.areas]
    levels = levels_of(chart)
    return tuple(
        Band(near, far, tuple(_allowed(edge, chart.sign, near, far) for edge in edges))
        for near, far in zip(levels, [*levels[1:], None], strict=True)
    )


def _allowed(edge: Edge, sign: float, near: float, far: float | None) -> Allowed | None:
    start = np.array([sign * near])
    if start[0] < edge.first:
        return None
    end = edge.at(start) if far is None else edge.before(np.array([sign * far]))
    return float(edge.at(start)[0]), float(end[0])


def band_words(band: Band, chart: LimitChart) -> str:
    """Return what a band calls for, mildest area first; nothing where it calls for nothing.

    Parameters
    ----------
    band : Band
        One band of the chart.
    chart : LimitChart
        The chart it comes from.

    Returns
    -------
    str
        For example ``"A at once, B over 5 s"``; under a chart that counts the line itself, ``"from 5 s"``.
    """
    over = "over" if chart.on_boundary == "within" else "from"
    parts: list[str] = []
    for area, allowed in reversed(list(zip(chart.areas, band.allowed, strict=True))):
        if allowed is None:
            continue
        if allowed[0] <= 0:
            parts.insert(0, f"{area.name} at once")
            break
        span = figure(allowed[0]) if allowed[0] == allowed[1] else f"{figure(allowed[0])} to {figure(allowed[1])}"
        parts.insert(0, f"{area.name} {over} {span} s")
    return ", ".join(parts)


def band_names(band: Band, chart: LimitChart) -> str:
    """Return the areas a band can enter by name alone, for where there is no room for more.

    Parameters
    ----------
    band : Band
        One band of the chart.
    chart : LimitChart
        The chart it comes from.

    Returns
    -------
    str
        For example ``"area A, B or C"``; empty where it calls for nothing.
    """
    named = zip(chart.areas, band.allowed, strict=True)
    names = [area.name for area, allowed in named if allowed is not None]
    if len(names) < 2:
        return f"area {names[0]}" if names else ""
    return f"area {', '.join(names[:-1])} or {names[-1]}"

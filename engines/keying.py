"""Second keying: the figures of a chart that choose an inspection, and where two people's keying of them differs."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from engines.charts import Area, EngineTypeData, LimitChart, Repeat

SECOND = "s"


@dataclass(frozen=True)
class Figure:
    """One figure of a chart: where in the chart it stands, in a key and in words, its unit, and its value."""

    path: str
    words: str
    unit: str
    value: float


@dataclass(frozen=True)
class Difference:
    """A figure that two people keyed differently; ``keyed`` is None where the second found none in the source."""

    words: str
    unit: str
    entered: float
    keyed: float | None


def figures_of(chart: LimitChart) -> tuple[Figure, ...]:
    """Return the figures of a chart that choose an inspection, in the order of the chart.

    Parameters
    ----------
    chart : LimitChart
        The chart.

    Returns
    -------
    tuple of Figure
        The limit, value and seconds of every corner of every area, and what its repeat rules count. [chart's unit, s]
    """
    figures = [Figure("limit", "Limit", chart.unit, chart.limit)]
    for area in chart.areas:
        figures += _of_area(area, chart)
    for place, rule in enumerate(chart.repeats, start=1):
        figures += _of_repeat(rule, place, chart)
    return tuple(figures)


def _of_area(area: Area, chart: LimitChart) -> Iterator[Figure]:
    for place, corner in enumerate(area.allowed, start=1):
        path, words = f"area {area.name} {place}", f"Area {area.name}, line {place}"
        yield Figure(f"{path} value", f"{words}: {chart.side}", chart.unit, corner.value)
        yield Figure(f"{path} seconds", f"{words}: seconds allowed", SECOND, corner.seconds)


def _of_repeat(rule: Repeat, place: int, chart: LimitChart) -> Iterator[Figure]:
    path, words = f"repeat {place}", f"Repeat rule {place}"
    if rule.count is not None:
        yield Figure(f"{path} count", f"{words}: how many events", "", float(rule.count))
    if rule.above is not None and rule.seconds is not None:
        yield Figure(f"{path} value", f"{words}: {chart.side}", chart.unit, rule.above)
        yield Figure(f"{path} seconds", f"{words}: seconds in all", SECOND, rule.seconds)


def charts_to_key(old: EngineTypeData, new: EngineTypeData) -> tuple[LimitChart, ...]:
    """Return the charts of a changed document that a second person has to key.

    Parameters
    ----------
    old, new : EngineTypeData
        The type as adopted before, and as it is to be.

    Returns
    -------
    tuple of LimitChart
        Those that are new or in anything different, in the order of the new document.
    """
    before = {chart.name: chart for chart in old.charts}
    return tuple(chart for chart in new.charts if before.get(chart.name) != chart)


def differences(chart: LimitChart, keyed: Mapping[str, float | None]) -> tuple[Difference, ...]:
    """Return where a second keying differs from a chart as it was entered.

    Parameters
    ----------
    chart : LimitChart
        The chart as entered.
    keyed : mapping of str to float or None
        What the second person keyed, by the path of each figure. [chart's unit, s]

    Returns
    -------
    tuple of Difference
        Every figure that is not the same number; a missing one differs.
    """
    return tuple(
        Difference(figure.words, figure.unit, figure.value, keyed.get(figure.path))
        for figure in figures_of(chart)
        if keyed.get(figure.path) != figure.value
    )

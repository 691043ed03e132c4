"""A year of an engine's starts, from the judgements that stand."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID

from django.utils import timezone

from engines.charts import EngineTypeData, LimitChart
from engines.models import Engine, TypeRevision
from engines.queries import revision_in_force
from engines.scales import Scale
from engines.units import convert
from inspections.drawing.starts_picture import StartDot, StartsScene
from inspections.queries import judgement_list
from inspections.shown import chart_on
from logbook.models import Person
from logbook.shown_units import scales_for

YEAR = timedelta(days=364)  # the last day included, so a year and no weekday twice


@dataclass(frozen=True)
class YearOfStarts:
    """The starts of twelve months with the runs they are of, and how many starts nobody recorded a trace of."""

    scene: StartsScene
    runs: dict[StartDot, UUID]
    revision: TypeRevision
    without_record: int


def starting_chart(data: EngineTypeData) -> LimitChart | None:
    """Return the limit by which starts are judged: of the temperature, while starting; None where there is none."""
    channel = data.segmentation.temperature if data.segmentation else None
    charts = (chart for chart in data.charts if chart.channel == channel and "starting" in (chart.regimes or ()))
    return next(charts, None)


def year_of_starts(user: Person, engine: Engine, last: date, *, as_recorded: bool = False) -> YearOfStarts | None:
    """Return an engine's starts of the year that ends with a day; None where its type says nothing of starts.

    Peaks are on the scale that the person chose to see, or in the limit's unit where they are to be as recorded.
    """
    revision = revision_in_force(engine.engine_type, last)
    data = revision.data
    if data.segmentation is None:
        return None
    first, chart = last - YEAR, starting_chart(data)
    channel = data.channel(data.segmentation.temperature)
    unit = chart.unit if chart else channel.unit
    scale = None if as_recorded else scales_for(user, engine, data, last).get(channel.name)
    standing = judgement_list(user).filter(run__engine=engine, is_current=True)
    within = standing.filter(run__started_at__date__gte=first, run__started_at__date__lte=last)
    rows = within.order_by("run__started_at").values_list(
        "run_id", "run__started_at", "verdict__starts", "trace_id", "run__starts"
    )
    runs: dict[StartDot, UUID] = {}
    without_record = 0
    for run, began, starts, trace, count in rows:
        without_record += count if trace is None else 0
        for start in starts or ():
            at = timezone.localtime(began + timedelta(seconds=start["turning_s"]))
            peak = None if start["peak"] is None else _peak(start["peak"], channel.unit, unit, scale)
            runs[StartDot(at, peak, start["outcome"])] = run
    scene = _on(StartsScene(tuple(runs), first, last, channel, unit, chart), scale)
    return YearOfStarts(scene, runs, revision, without_record)


def _on(scene: StartsScene, scale: Scale | None) -> StartsScene:
    """Return starts whose peaks are on a scale already with their limit on it too."""
    if scale is None:
        return scene
    return replace(scene, unit=scale.shown, chart=None if scene.chart is None else chart_on(scene.chart, scale))


def _peak(peak: float, unit: str, to: str, scale: Scale | None) -> float:
    """Return a start's peak in the limit's unit, or on the scale that the person sees."""
    return float(convert(peak, unit, to) if scale is None else scale.value(peak))

"""A year of an engine's starts, from the judgements that stand."""

from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from django.utils import timezone

from engines.charts import EngineTypeData, LimitChart
from engines.models import Engine, TypeRevision
from engines.queries import revision_in_force
from engines.units import convert
from inspections.drawing.starts_picture import StartDot, StartsScene
from inspections.queries import judgement_list
from logbook.models import Person

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


def year_of_starts(user: Person, engine: Engine, last: date) -> YearOfStarts | None:
    """Return an engine's starts of the year that ends with a day; None where its type says nothing of starts."""
    revision = revision_in_force(engine.engine_type, last)
    data = revision.data
    if data.segmentation is None:
        return None
    first, chart = last - YEAR, starting_chart(data)
    channel = data.channel(data.segmentation.temperature)
    unit = chart.unit if chart else channel.unit
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
            peak = None if start["peak"] is None else float(convert(start["peak"], channel.unit, unit))
            runs[StartDot(at, peak, start["outcome"])] = run
    return YearOfStarts(StartsScene(tuple(runs), first, last, channel, unit, chart), runs, revision, without_record)

"""What a changed revision would change across all stored runs, read from as few of them as can be affected."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Q, QuerySet

from engines.charts import EngineTypeData, LimitChart
from engines.models import Reading, Run, TraceExtreme, TypeRevision
from engines.queries import adopted_before
from engines.units import convert
from inspections.actions.judging import judge_evidence
from inspections.models import Exceedance

SLACK = 1e-9  # relative; unit conversion may round a limit by less than this
ALL_REGIMES = 3


@dataclass(frozen=True)
class Change:
    """What one chart says of a run now, and what it would say: the areas of its events, in order."""

    run: Run
    chart: str
    before: tuple[str, ...]
    after: tuple[str, ...]


@dataclass(frozen=True)
class Replay:
    """The outcome: how many runs there are, how many had to be read, and what would change."""

    revision: TypeRevision
    against: TypeRevision
    runs_total: int
    runs_read: int
    changes: tuple[Change, ...]


def replay(revision: TypeRevision) -> Replay:
    """Return what a revision would change across every stored run of its type.

    Each run is compared with the judgement that stands for it. Read are only the runs whose stored
    extremes or typed readings come beyond the old or the new limit of a chart that differs.
    """
    against = adopted_before(revision)
    runs = Run.objects.filter(engine__engine_type=revision.engine_type, is_void=False)
    old, new = against.data, revision.data
    names = _changed_charts(old, new)
    affected = set(_affected(runs, old, new, names))
    changes, before = [], _areas_now(affected, names)
    for run in runs.filter(pk__in=affected).select_related("engine").order_by("started_at"):
        after = _areas(run, new)
        for name in names:
            now, then = tuple(before[run.pk, name]), tuple(after[name])
            if sorted(now) != sorted(then):
                changes.append(Change(run, name, now, then))
    return Replay(revision, against, runs.count(), len(affected), tuple(changes))


def _is_reparted(old: EngineTypeData, new: EngineTypeData) -> bool:
    """Return whether the stored extremes of regimes no longer hold."""
    return old.segmentation != new.segmentation


def _changed_charts(old: EngineTypeData, new: EngineTypeData) -> list[str]:
    """Return the names of the charts that may judge differently, in order of the new document."""
    charts = {chart.name: chart for chart in old.charts}
    reparted = _is_reparted(old, new)
    differing = [
        chart.name
        for chart in new.charts
        if reparted or charts.get(chart.name) != chart or _reads_differently(old, new, chart.channel)
    ]
    return differing + [name for name in charts if name not in {chart.name for chart in new.charts}]


def _reads_differently(old: EngineTypeData, new: EngineTypeData, channel: str) -> bool:
    before = {c.name: (c, old.gap_of(c.name)) for c in old.channels}.get(channel)
    return before != (new.channel(channel), new.gap_of(channel))


def _affected(runs: QuerySet[Run], old: EngineTypeData, new: EngineTypeData, names: list[str]) -> Iterator[UUID]:
    for data in (old, new):
        for chart in data.charts:
            if chart.name in names:
                yield from _runs_beyond(runs, data, chart, whole=_is_reparted(old, new))
    readings = Reading.objects.filter(run__in=runs, chart__in=names)
    yield from readings.values_list("run", flat=True)


def _runs_beyond(runs: QuerySet[Run], data: EngineTypeData, chart: LimitChart, *, whole: bool) -> Iterable[UUID]:
    """Return the runs with an extreme beyond a chart's limit in one of its regimes, the tolerance added."""
    channel = data.channel(chart.channel)
    limit = convert(chart.limit, chart.unit, channel.unit) - chart.sign * channel.tolerance
    limit -= chart.sign * SLACK * max(1.0, abs(limit))
    is_whole = whole or chart.regimes is None or len(chart.regimes) == ALL_REGIMES
    beyond = Q(highest__gte=limit) if chart.sign > 0 else Q(lowest__lte=limit)
    # A run without its speed channel has extremes of the whole trace only, and is judged over all of it.
    regimes = [""] if is_whole else list(chart.regimes or ())
    unparted = Q(regime="") & ~Q(trace__extremes__regime__in=["starting", "running", "stopping"])
    found = TraceExtreme.objects.filter(beyond, channel=chart.channel, trace__run__in=runs)
    return found.filter(Q(regime__in=regimes) | unparted).values_list("trace__run", flat=True)


def _areas_now(runs: set[UUID], names: list[str]) -> dict[tuple[UUID, str], list[str]]:
    rows = Exceedance.objects.filter(judgement__run__in=runs, judgement__is_current=True, chart__in=names)
    found: dict[tuple[UUID, str], list[str]] = defaultdict(list)
    for run, chart, area in rows.filter(area_possible__isnull=False).values_list(
        "judgement__run", "chart", "area_possible"
    ):
        found[run, chart].append(str(area))
    return found


def _areas(run: Run, data: EngineTypeData) -> dict[str, list[str]]:
    found: dict[str, list[str]] = defaultdict(list)
    for excursion in judge_evidence(run, data).excursions:
        if excursion.area_possible is not None:
            found[excursion.chart].append(excursion.area_possible)
    return found

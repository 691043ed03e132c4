"""An engine's history on a chart, as the repeat rules need it."""

from datetime import UTC, datetime, time

from django.db.models import OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from engines.charts import LimitChart, Repeat
from engines.models import Engine, Run
from inspections import states
from inspections.models import Exceedance, Inspection, Judgement
from inspections.repeats import Event, RepeatCount, count_events, count_seconds

SECONDS_PER_HOUR = 3600


def repeat_counts(engine: Engine, chart: LimitChart) -> list[RepeatCount]:
    """Return how each repeat rule of a chart stands for an engine now."""
    return [_count(engine, chart, k, rule) for k, rule in enumerate(chart.repeats)]


def _count(engine: Engine, chart: LimitChart, index: int, rule: Repeat) -> RepeatCount:
    judgements = _since(engine, rule)
    if rule.area is not None:
        return count_events(chart, index, _events(judgements, chart))
    key = f"{chart.name}|{index}"
    sums = judgements.filter(exceedances__chart=chart.name).distinct().values_list("repeat_seconds", flat=True)
    return count_seconds(chart, index, sum(seconds.get(key, 0.0) for seconds in sums))


def _since(engine: Engine, rule: Repeat) -> QuerySet[Judgement]:
    """Return the standing judgements of the engine's runs since the rule's beginning."""
    found = Judgement.objects.filter(run__engine=engine, is_current=True)
    if rule.since == "overhaul" and engine.overhauled_on is not None:
        return found.filter(run__started_at__gte=datetime.combine(engine.overhauled_on, time.min, UTC))
    if isinstance(rule.since, tuple) and rule.since[0] == "action":
        done = _last_done(engine, str(rule.since[1]))
        return found if done is None else found.filter(run__started_at__gt=done)
    if isinstance(rule.since, tuple):
        later = Run.objects.filter(engine=engine, started_at__gt=OuterRef("run__started_at"))
        used = later.order_by().values("engine").annotate(used=Sum("run_time_s")).values("used")
        bound = float(rule.since[1]) * SECONDS_PER_HOUR
        return found.annotate(used_since=Coalesce(Subquery(used), 0)).filter(used_since__lte=bound)
    return found


def _last_done(engine: Engine, summary: str) -> datetime | None:
    """Return from when on runs come after the last approved inspection of that name; None where there is none.

    Runs of the day of completion count if they began after the run that called for the inspection.
    """
    approved = Inspection.objects.filter(engine=engine, summary__iexact=summary, state=states.APPROVED)
    done = [
        max(inspection.run.started_at, datetime.combine(release.completed_on, time.min, UTC))
        for inspection in approved.select_related("run").prefetch_related("releases")
        for release in inspection.releases.all()
        if release.outcome == states.APPROVED
    ]
    return max(done, default=None)


def _events(judgements: QuerySet[Judgement], chart: LimitChart) -> list[Event]:
    """Return one event for each number of each run, by its worst area and the cause that is known."""
    rows = Exceedance.objects.filter(judgement__in=judgements, chart=chart.name, area_possible__isnull=False)
    order = {area.name: place for place, area in enumerate(chart.areas)}
    worst: dict[tuple[int, int], Exceedance] = {}
    for row in rows.select_related("inspection"):
        key = (row.judgement_id, row.possible)
        if key not in worst or order.get(str(row.area_possible), 0) > order.get(str(worst[key].area_possible), 0):
            worst[key] = row
    return [Event(row.area_possible, row.inspection.cause if row.inspection else "not_found") for row in worst.values()]

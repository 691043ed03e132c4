"""An engine's history on a chart, as the repeat rules need it."""

from collections.abc import Iterable
from datetime import UTC, datetime, time

from django.db.models import Exists, OuterRef, Prefetch, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from engines.charts import LimitChart, Repeat
from engines.models import Engine, Run
from inspections import states
from inspections.models import Exceedance, Inspection, Judgement, Release
from inspections.repeats import Event, RepeatCount, count_events, count_seconds

SECONDS_PER_HOUR = 3600


def repeat_counts(engine: Engine, chart: LimitChart) -> list[RepeatCount]:
    """Return how each repeat rule of a chart stands for an engine now."""
    return [_count(engine, chart, k, rule) for k, rule in enumerate(chart.repeats)]


def _count(engine: Engine, chart: LimitChart, index: int, rule: Repeat) -> RepeatCount:
    judgements = judgements_since(engine, rule)
    if rule.area is not None:
        return count_events(chart, index, _events(judgements, chart))
    key = f"{chart.name}|{index}"
    sums = judgements.filter(exceedances__chart=chart.name).distinct().values_list("repeat_seconds", flat=True)
    return count_seconds(chart, index, sum(seconds.get(key, 0.0) for seconds in sums))


def judgements_standing(engine: Engine, at: Judgement | None = None) -> QuerySet[Judgement]:
    """Return the judgements of an engine's runs that stand, or that stood when another was made, that one included."""
    found = Judgement.objects.filter(run__engine=engine)
    if at is None:
        return found.filter(is_current=True)
    known = found.filter(pk__lte=at.pk)
    later = Judgement.objects.filter(run=OuterRef("run"), pk__gt=OuterRef("pk"), pk__lte=at.pk)
    return known.filter(~Exists(later))


def judgements_since(engine: Engine, rule: Repeat, at: Judgement | None = None) -> QuerySet[Judgement]:
    """Return of the judgements that stand, or stood then, those of runs since the rule's beginning."""
    found = judgements_standing(engine, at)
    begins = beginning_of(engine, rule, at)
    if begins is not None:
        return (
            found.filter(run__started_at__gt=begins)
            if is_since_action(rule)
            else found.filter(run__started_at__gte=begins)
        )
    if isinstance(rule.since, tuple) and not is_since_action(rule):
        later = Run.objects.filter(engine=engine, started_at__gt=OuterRef("run__started_at"))
        if at is not None:
            later = later.filter(recorded_at__lte=at.judged_at)
        used = later.order_by().values("engine").annotate(used_after=Sum("run_time_s")).values("used_after")
        bound = float(rule.since[1]) * SECONDS_PER_HOUR
        return found.annotate(used_since=Coalesce(Subquery(used), 0)).filter(used_since__lte=bound)
    return found


def is_since_action(rule: Repeat) -> bool:
    """Return whether a rule counts from the last time that something was done."""
    return isinstance(rule.since, tuple) and rule.since[0] == "action"


def beginning_of(engine: Engine, rule: Repeat, at: Judgement | None = None) -> datetime | None:
    """Return the moment from which a rule counts; None where it is no moment, or none is recorded."""
    if rule.since == "overhaul" and engine.overhauled_on is not None:
        return datetime.combine(engine.overhauled_on, time.min, UTC)
    return _last_done(engine, str(rule.since[1]), at) if is_since_action(rule) else None


def _last_done(engine: Engine, summary: str, at: Judgement | None) -> datetime | None:
    """Return from when on runs come after the last approved inspection of that name; None where there is none.

    Runs of the day of completion count if they began after the run that called for the inspection.
    """
    approved = Inspection.objects.filter(engine=engine, summary__iexact=summary, state=states.APPROVED)
    standing = Prefetch("releases", Release.objects.filter(corrected_by=None))
    done = [
        max(inspection.run.started_at, datetime.combine(release.completed_on, time.min, UTC))
        for inspection in approved.select_related("run").prefetch_related(standing)
        for release in inspection.releases.all()
        if release.outcome == states.APPROVED and (at is None or release.signed_at <= at.judged_at)
    ]
    return max(done, default=None)


def _events(judgements: QuerySet[Judgement], chart: LimitChart) -> list[Event]:
    """Return one event for each number of each run, by its worst area and the cause that is known."""
    rows = Exceedance.objects.filter(judgement__in=judgements, chart=chart.name, area_possible__isnull=False)
    return [event_of(row) for row in worst_of_each(rows.select_related("inspection"), chart)]


def event_of(row: Exceedance) -> Event:
    """Return an exceedance as the rules see it."""
    return Event(row.area_possible, row.inspection.cause if row.inspection else "not_found")


def worst_of_each(rows: Iterable[Exceedance], chart: LimitChart) -> list[Exceedance]:
    """Return of each event, which may be several exceedances of one number, the one in the worst area."""
    order = {area.name: place for place, area in enumerate(chart.areas)}
    worst: dict[tuple[int, int], Exceedance] = {}

    def place(row: Exceedance) -> int:
        return -1 if row.area_possible is None else order.get(row.area_possible, 0)

    for row in rows:
        key = (row.judgement_id, row.possible)
        if key not in worst or place(row) > place(worst[key]):
            worst[key] = row
    return list(worst.values())

"""Whether a first start holds an engine: a plan that is open, or one that the type asks for because it stood."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from django.db.models import JSONField, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import JSONObject
from django.utils import timezone

from engines.first_starts import OUTSIDE_OF_USE, STOOD, stood_too_long, stood_words
from engines.models import Engine, FirstStartCause, FirstStartEnd, Run, TypeRevision
from engines.queries import revision_in_force

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date, datetime

HELD: Final = "First start not completed"


def with_first_starts(engines: QuerySet[Engine]) -> QuerySet[Engine]:
    """Return engines with what asked last for the plan that is open, and with what tells whether they stood too long.

    These are the triggers of their types as they are in force today, their last runs, and the ends of their last plans.
    """
    causes = FirstStartCause.objects.filter(plan__engine=OuterRef("pk"), plan__end=None).order_by("-pk")
    come = Q(in_force_from__isnull=True) | Q(in_force_from__lte=timezone.localdate())
    revisions = TypeRevision.objects.filter(come, engine_type=OuterRef("engine_type"), is_adopted=True)
    triggers = revisions.order_by("-number").values("document__first_start__triggers")[:1]
    return engines.annotate(
        first_start_asked=Subquery(causes.values(json=JSONObject(text="text"))[:1], output_field=JSONField()),
        first_start_triggers=Subquery(triggers, output_field=JSONField()),
        first_start_ran=Subquery(_ran(Run.objects.filter(engine=OuterRef("pk"))).values("started_at")[:1]),
        first_start_ended=Subquery(_ended(Q(plan__engine=OuterRef("pk"))).values("on")[:1]),
    )


def _ran(runs: QuerySet[Run]) -> QuerySet[Run]:
    """Return those runs in which the engine burned fuel, the newest first."""
    lit = Q(starts__gt=0) | Q(run_time_s__gt=0)
    return runs.filter(lit, is_void=False).order_by("-started_at")


def _ended(of: Q) -> QuerySet[FirstStartEnd]:
    return FirstStartEnd.objects.filter(of).order_by("-pk")


def reasons_of(engine: Any) -> Iterator[str]:
    """Yield why a first start holds an engine that came with what tells it, in words."""
    if engine.first_start_asked:
        yield f"{HELD}: {engine.first_start_asked['text']}"
    elif words := stood_since(_last(engine.first_start_ran, engine.first_start_ended), _days(engine)):
        yield f"{HELD}: {words}"


def _days(engine: Any) -> int | None:
    triggers = engine.first_start_triggers or ()
    return next((int(one["days"]) for one in triggers if one.get("when") == STOOD), None)


def _last(ran: datetime | None, ended: date | None) -> date | None:
    days = [day for day in (timezone.localdate(ran) if ran else None, ended) if day is not None]
    return max(days, default=None)


def stood_since(last: date | None, days: int | None, today: date | None = None) -> str:
    """Return why an engine that ran last on a day asks for a plan on another; "" where it does not."""
    stood = stood_too_long(last, today or timezone.localdate(), days)
    return stood_words(stood, days or 0) if stood is not None else ""


def stood_before(engine: Engine, moment: datetime) -> str:
    """Return why an engine asked for a plan before a moment, because it had stood too long; "" where it did not."""
    rules = revision_in_force(engine.engine_type, timezone.localdate(moment)).data.first_start
    if rules is None or rules.stood_days is None:
        return ""
    ran = _ran(engine.runs.filter(started_at__lt=moment)).values_list("started_at", flat=True).first()
    ended = _ended(Q(plan__engine=engine, on__lte=timezone.localdate(moment))).values_list("on", flat=True).first()
    return stood_since(_last(ran, ended), rules.stood_days, timezone.localdate(moment))


def first_start_then(run: Run) -> Iterator[str]:
    """Yield why a first start was not completed when a run as usual began, in words; nothing for a run of a plan."""
    if run.kind in OUTSIDE_OF_USE:
        return
    going = Q(plan__end=None) | Q(plan__end__at__gt=run.started_at)
    asked = FirstStartCause.objects.filter(going, plan__engine=run.engine_id, at__lte=run.started_at).last()
    if asked is not None and asked.when != STOOD:
        yield f"{HELD}: {asked.text}"
    elif words := stood_before(run.engine, run.started_at):
        yield f"{HELD}: {words}"


def has_run_since(run: Run) -> bool:
    """Return whether its engine ran after a run, by what is recorded."""
    return _ran(run.engine.runs.filter(started_at__gt=run.started_at)).exists()

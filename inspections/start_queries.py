"""Reads of starts and shutdowns as judged traces showed them, of the judgements that stand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from inspections.models import ShutdownRecord, StartRecord

if TYPE_CHECKING:
    from datetime import datetime, timedelta

    from django.contrib.auth.models import AbstractBaseUser
    from django.db.models import QuerySet

    from engines.models import Engine

PAST: Final = 20  # of an engine's own earlier starts, the newest are held beside a start


def start_list(user: AbstractBaseUser) -> QuerySet[StartRecord]:
    """Return the starts of the operator's runs, oldest first, as they are judged now; void runs show none."""
    operator = getattr(user, "operator_id", None) or 0
    return StartRecord.objects.filter(judgement__is_current=True, engine__operator=operator)


def shutdown_list(user: AbstractBaseUser) -> QuerySet[ShutdownRecord]:
    """Return the shutdowns of the operator's runs, oldest first, as they are judged now."""
    operator = getattr(user, "operator_id", None) or 0
    return ShutdownRecord.objects.filter(judgement__is_current=True, engine__operator=operator)


def start_for(user: AbstractBaseUser, run: Any, place: int) -> StartRecord:
    """Return one start of a run; StartRecord.DoesNotExist where the person may not see it."""
    reached = start_list(user).select_related(
        "judgement__revision", "judgement__trace", "judgement__run__engine__engine_type",
        "judgement__run__engine__operator",
    )  # fmt: skip
    return reached.get(judgement__run=run, place=place)


def past_starts(start: StartRecord) -> list[StartRecord]:
    """Return the engine's own starts before one that reached idle, the newest twenty, oldest first."""
    standing = StartRecord.objects.filter(judgement__is_current=True, engine=start.engine_id, outcome="started")
    return list(standing.filter(at__lt=start.at).order_by("-at", "-place")[:PAST])[::-1]


def shutdown_after(start: StartRecord) -> ShutdownRecord | None:
    """Return the shutdown that the run of a start ended with, before the run's next start."""
    following = start.judgement.starts.filter(at__gt=start.at).order_by("at").first()
    shutdowns = start.judgement.shutdowns.filter(at__gte=start.at)
    return (shutdowns.filter(at__lt=following.at) if following else shutdowns).order_by("at").first()


def past_shutdowns(shutdown: ShutdownRecord) -> list[ShutdownRecord]:
    """Return the engine's own shutdowns before one, the newest twenty, oldest first."""
    standing = ShutdownRecord.objects.filter(judgement__is_current=True, engine=shutdown.engine_id)
    return list(standing.filter(at__lt=shutdown.at).order_by("-at", "-place")[:PAST])[::-1]


def starts_within(engine: Engine, last: datetime, span: timedelta) -> list[StartRecord]:
    """Return an engine's turnings of some time up to a moment, of every outcome, oldest first."""
    standing = StartRecord.objects.filter(judgement__is_current=True, engine=engine)
    return list(standing.filter(at__lte=last, at__gte=last - span).order_by("at", "place"))


def engine_starts_kept(engine: Engine) -> QuerySet[StartRecord]:
    """Return an engine's starts that reached idle and were not hot, oldest first."""
    return StartRecord.objects.filter(judgement__is_current=True, engine=engine, outcome="started")


def engine_shutdowns_kept(engine: Engine) -> QuerySet[ShutdownRecord]:
    """Return an engine's shutdowns, oldest first."""
    return ShutdownRecord.objects.filter(judgement__is_current=True, engine=engine)

"""What an engine's runs had counted to at the moments that matter, so that no history has to be added up again."""

from __future__ import annotations

import json
from typing import Any, Final

from django.db import models
from django.db.models import Count, F, Q, Sum
from django.db.models.functions import Coalesce

from engines.models.fleet import Engine
from engines.times import Times

COUNTERS: Final = ("run_time_s", "time_in_service_s", "starts", "cycles", "partial_cycles")


class Counted(models.Model):
    """The counters of some runs together; ``other`` holds what the type counts besides, by the counter's name."""

    run_time_s = models.PositiveBigIntegerField(default=0)
    time_in_service_s = models.PositiveBigIntegerField(default=0)
    starts = models.PositiveBigIntegerField(default=0)
    cycles = models.PositiveBigIntegerField(default=0)
    partial_cycles = models.PositiveBigIntegerField(default=0)
    other = models.JSONField(default=dict, blank=True)

    class Meta:
        abstract = True

    @property
    def times(self) -> Times:
        """Return the counters together."""
        return Times(**{name: getattr(self, name) for name in COUNTERS}, other=self.other)


class UsagePoint(Counted):
    """What the runs of an engine that began before a moment count for; all of its runs where ``at`` is null.

    Derived from the runs, and moved with them: a run that is recorded or changed moves the points after it.
    """

    engine = models.ForeignKey(Engine, on_delete=models.CASCADE, related_name="points")
    at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["engine", "at"], name="usage_point_once"),
            models.UniqueConstraint(fields=["engine"], condition=Q(at__isnull=True), name="usage_total_once"),
        ]

    def __str__(self) -> str:
        return f"{self.engine_id} until {self.at or 'now'}"


def columns_read(columns: dict[str, Any]) -> Times:
    """Return times of their columns; SQLite gives what the type counts besides as text within an object."""
    other = columns.get("other", {})
    return Times(**{**columns, "other": json.loads(other) if isinstance(other, str) else other})


def runs_sum(runs: models.QuerySet[Any]) -> Times:
    """Return what some runs count for together, in one query where none counts more than the standard counters."""
    counted = {name: Coalesce(Sum(name), 0) for name in COUNTERS}
    sums = runs.order_by().aggregate(**counted, besides=Count("pk", filter=~Q(other={})))
    if not sums.pop("besides"):
        return Times(**sums)
    besides = runs.order_by().exclude(other={}).values_list("other", flat=True)
    return sum((Times(other=row) for row in besides), Times(**sums))


def total_locked(engine: Engine) -> UsagePoint:
    """Return the point of all an engine's runs, held until the transaction ends; made from its runs where missing."""
    total, is_new = UsagePoint.objects.get_or_create(engine=engine, at=None)
    if is_new:
        point_set(total, runs_sum(engine.runs.all()))
        return total
    return UsagePoint.objects.select_for_update().get(pk=total.pk)


def point_set(point: UsagePoint, times: Times) -> None:
    """Store what a point counts."""
    for name, amount in vars(times).items():
        setattr(point, name, amount)
    point.save()


def usage_move(engine: Engine, began: Any, change: Times) -> None:
    """Move the points of an engine, whose total is locked, that count a run of that moment by what it changed by."""
    later = UsagePoint.objects.filter(Q(at__isnull=True) | Q(at__gt=began), engine=engine)
    moved = {name: F(name) + getattr(change, name) for name in COUNTERS if getattr(change, name)}
    if moved:
        later.update(**moved)
    if change.other:
        for point in later:
            point.other = (Times(other=point.other) + Times(other=change.other)).other
            point.save(update_fields=["other"])

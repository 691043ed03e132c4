"""What was read last on an engine, when and by whom: shown beside a box, never put into it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import F, Sum
from django.utils import timezone

from engines.meter import MeterBefore
from engines.models import Engine, Reading, Run

HOUR_S = 3600


@dataclass(frozen=True)
class LastReading:
    """One figure of an earlier run, in the unit of the box that it stands beside."""

    value: Decimal
    unit: str
    on: date
    by: str


def _last(run: Run, value: Decimal, unit: str) -> LastReading:
    return LastReading(value, unit, timezone.localdate(run.started_at), str(run.recorded_by))


def latest_of(engine: Engine) -> dict[str, LastReading]:
    """Return the last figure typed in each box of the run's sheet, by the box's name; readings by their chart's."""
    runs = engine.runs.select_related("recorded_by")
    found: dict[str, LastReading] = {}
    for name, column in (("run_time", "typed_run_time_s"), ("time_in_service", "typed_time_in_service_s")):
        run = runs.filter(**{f"{column}__isnull": False}).first()
        if run is not None:
            found[name] = _last(run, round(Decimal(getattr(run, column)) / HOUR_S, 2).normalize(), "h")
    metered = runs.filter(typed_meter_h__isnull=False).first()
    if metered is not None:
        found["meter"] = _last(metered, Decimal(repr(metered.typed_meter_h)), "h")
    return found | _readings(engine)


def _readings(engine: Engine) -> dict[str, LastReading]:
    """Return the last known reading of each chart."""
    rows = Reading.objects.filter(run__engine=engine, peak__isnull=False).select_related("run__recorded_by")
    names = rows.order_by().values_list("chart", flat=True).distinct()
    newest = {name: rows.filter(chart=name).order_by("-run__started_at").first() for name in names}
    return {n: _last(r.run, Decimal(repr(r.peak)), r.unit) for n, r in newest.items() if r is not None}


def meter_before(engine: Engine, at: datetime) -> MeterBefore | None:
    """Return the last hour-meter reading before a moment, and what other runs took since; None where there is none."""
    earlier = engine.runs.filter(started_at__lt=at)
    read = earlier.filter(typed_meter_h__isnull=False).order_by(F("started_at").desc()).first()
    if read is None:
        return None
    since = earlier.filter(started_at__gt=read.started_at, typed_meter_h__isnull=True)
    seconds = since.order_by().aggregate(used=Sum("run_time_s", default=0))["used"]
    said = f" on {timezone.localdate(read.started_at)}"
    return MeterBefore(Decimal(repr(read.typed_meter_h)), said, round(Decimal(seconds) / HOUR_S, 2))

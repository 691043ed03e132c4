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
LOOKED_BACK = 60  # runs


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
    """Return the last figure typed in each box of the run's sheet, by the box's name; readings by their chart's.

    Only so many runs are looked back over; what is older is of no help beside a box.
    """
    runs = list(
        engine.runs.filter(is_void=False).select_related("recorded_by").prefetch_related("readings")[:LOOKED_BACK]
    )
    found: dict[str, LastReading] = {}
    for run in reversed(runs):
        found |= _typed(run) | _readings(run)
    return found


def _typed(run: Run) -> dict[str, LastReading]:
    seconds = {"run_time": run.typed_run_time_s, "time_in_service": run.typed_time_in_service_s}
    typed = {name: round(Decimal(s) / HOUR_S, 2).normalize() for name, s in seconds.items() if s is not None}
    if run.typed_meter_h is not None:
        typed["meter"] = Decimal(repr(run.typed_meter_h))
    return {name: _last(run, value, "h") for name, value in typed.items()}


def _readings(run: Run) -> dict[str, LastReading]:
    read = [reading for reading in run.standing_readings if reading.peak is not None]
    return {reading.chart: _last(run, *_as_judged(reading)) for reading in read}


def _as_judged(reading: Reading) -> tuple[Decimal, str]:
    """Return a reading in its limit's unit, in which the box beside it is."""
    if reading.converted is None:
        return Decimal(repr(reading.peak)), reading.unit
    return round(Decimal(repr(reading.converted)), 1).normalize(), reading.converted_unit


def meter_before(engine: Engine, at: datetime, apart_from: Run | None = None) -> MeterBefore | None:
    """Return the last hour-meter reading before a moment, and what other runs took since; None where there is none.

    A changed meter is read at the change, where no run was read after it. One run may be left out of account.
    """
    earlier = engine.runs.filter(started_at__lt=at)
    if apart_from is not None:
        earlier = earlier.exclude(pk=apart_from.pk)
    read = earlier.filter(typed_meter_h__isnull=False).order_by(F("started_at").desc()).first()
    changed = engine.meter_changes.filter(at__lt=at, replaced_by=None).last()
    if changed is not None and (read is None or changed.at > read.started_at):
        hours, since = changed.new_h, changed.at
        said = f" when the meter was changed on {timezone.localdate(since)}"
    elif read is not None:
        hours, since = Decimal(repr(read.typed_meter_h)), read.started_at
        said = f" on {timezone.localdate(since)}"
    else:
        return None
    unread = earlier.filter(started_at__gt=since, typed_meter_h__isnull=True)
    seconds = unread.order_by().aggregate(used=Sum("run_time_s", default=0))["used"]
    return MeterBefore(hours, said, round(Decimal(seconds) / HOUR_S, 2))

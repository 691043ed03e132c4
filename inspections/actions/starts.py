"""Keeping what a judged trace shows of its starts and shutdowns."""

from collections.abc import Iterable
from dataclasses import asdict
from datetime import timedelta
from typing import Any

from engines.charts import EngineTypeData
from engines.first_starts import MOTORING_KINDS
from engines.models import Run
from engines.queries import recording_of
from engines.shutdowns import shutdowns_of
from engines.start_curves import curve_of
from engines.start_rules import StartRules
from engines.starts import StartFigures, starts_of
from engines.starts_typed import typed_starts
from engines.traces import Recording
from engines.units import convert
from inspections.models import Judgement, ShutdownRecord, StartRecord


def starts_keep(judgement: Judgement, recording: Recording | None, data: EngineTypeData) -> None:
    """Keep the starts and shutdowns of a judgement's evidence, in the place of any that were kept of it.

    Without a trace only what was timed or written down is kept.
    """
    run, trace = judgement.run, recording.trace if recording else None
    judgement.starts.all().delete()
    judgement.shutdowns.all().delete()

    def about(place: int, second: float) -> dict[str, Any]:
        at = run.started_at + timedelta(seconds=second)
        return {"judgement": judgement, "engine_id": run.engine_id, "place": place, "at": at}

    shown = _typed(run, data) if trace is None else starts_of(trace, data)
    StartRecord.objects.bulk_create(
        StartRecord(
            **about(place, start.turning_s),
            outcome=start.outcome,
            figures=asdict(start),
            curve={} if trace is None else asdict(curve_of(trace, data, start)),
        )
        for place, start in enumerate(shown, start=1)
    )
    if trace is not None:
        ShutdownRecord.objects.bulk_create(
            ShutdownRecord(**about(place, shutdown.at_s), figures=asdict(shutdown))
            for place, shutdown in enumerate(shutdowns_of(trace, data), start=1)
        )


def _typed(run: Run, data: EngineTypeData) -> tuple[StartFigures, ...]:
    """Return the starts of a run without a trace, as far as timer and typed readings go."""
    if data.segmentation is None or run.is_void:
        return ()
    unit = data.channel(data.segmentation.temperature).unit
    starting = {
        chart.name
        for chart in data.charts
        if chart.channel == data.segmentation.temperature and "starting" in (chart.regimes or ())
    }
    peaks = [
        float(convert(peak, read, unit))
        for chart, (peak, read) in ((reading.chart, reading.judged) for reading in run.standing_readings)
        if chart in starting and peak is not None
    ]
    return typed_starts(
        run.timed.get("marks", ()),
        run.started_at,
        peaks,
        data.starts or StartRules(),
        starter_s=run.typed_starter_s,
        is_motoring=run.kind in MOTORING_KINDS,
    )


def starts_rebuild(judgements: Iterable[Judgement]) -> int:
    """Keep anew the starts of judgements that stand, from their traces, and return of how many it was done."""
    count = 0
    for judgement in judgements:
        recording = None if judgement.trace is None else recording_of(judgement.trace)
        starts_keep(judgement, recording, judgement.revision.data)
        count += 1
    return count

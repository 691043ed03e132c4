"""Signing an engine's own calibration: what stands against it, and what it becomes."""

from datetime import date
from functools import partial
from typing import Any, Final
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from engines.calibration import Calibration, calibration_faults
from engines.charts import EngineTypeData
from engines.models import EngineCalibration, Reading, Run
from engines.queries import newest_trace, revision_in_force
from engines.units import unit_fits
from logbook.actions import trace_enter
from logbook.desk import Concern
from logbook.maintenance import reading
from logbook.maintenance.bodies import calibration_part
from logbook.maintenance.rows import Work
from logbook.models import Entry, Person

READ_ANEW: Final = (
    "Its file was read by a calibration that entry {number} corrects. It is read anew and judged again, and "
    "is to be signed again. Where it is not among the runs to sign, add its file once more."
)
TURN_ANEW: Final = (
    "A reading of it was turned by a calibration that entry {number} corrects. Correct the run: the same figures, "
    "signed again, are turned by the calibration that stands."
)


def type_of(work: Work) -> EngineTypeData:
    """Return what the type says that is in force today."""
    return revision_in_force(work.engine.engine_type, timezone.localdate()).data


def stated(work: Work, data: EngineTypeData) -> Calibration:
    """Return the calibration that work states; ValueError names a line of its pairs that can't be read."""
    units = {channel.name: channel.unit for channel in data.channels}
    return reading.calibration_of(work, units.get(work.said("channel"), ""))


def faults_of(work: Work, today: date) -> dict[str, str]:
    """Return what stands against signing a calibration."""
    data = type_of(work)
    try:
        calibration = stated(work, data)
    except ValueError as error:
        return {"pairs": str(error)}
    return calibration_faults(calibration, data.indications, today)


def part_of(work: Work) -> dict[str, Any]:
    """Return a calibration as it is written so far, as its entry would hold it."""
    data = type_of(work)
    labels = {channel.name: channel.label for channel in data.channels}
    try:
        calibration = stated(work, data)
    except ValueError:
        calibration = Calibration(work.said("channel"), work.said("reads"), "", (), work.day("on"), work.said("source"))
    return calibration_part(calibration, labels.get(calibration.channel, calibration.channel))


def standing_of(work: Work) -> EngineCalibration | None:
    """Return the calibration that work, as it is stored, was signed for; None where that is not found."""
    was = Work.objects.select_related("engine__engine_type").get(pk=work.pk)
    of: dict[str, Any] = {name: was.said(name) for name in ("channel", "reads", "source")}
    pairs = [list(pair) for pair in stated(was, type_of(was)).pairs]
    rows = EngineCalibration.objects.filter(engine=was.engine, begins_on=was.said("on"), replaced_by=None, **of)
    return next((row for row in rows if row.pairs == pairs), None)


def keep(work: Work, by: Person, replaces: EngineCalibration | None = None) -> EngineCalibration:
    """Keep a calibration that is signed; it holds from its day on, until a later one."""
    calibration = stated(work, type_of(work))
    return EngineCalibration.objects.create(
        engine=work.engine,
        channel=calibration.channel,
        reads=calibration.reads,
        unit=calibration.unit,
        pairs=[list(pair) for pair in calibration.pairs],
        begins_on=calibration.begins_on or timezone.localdate(),
        source=calibration.source,
        replaces=replaces,
        by=by,
    )


def runs_read_by(row: EngineCalibration) -> list[Run]:
    """Return the runs whose recorded file was read by a calibration, or is by the one in its place."""
    began = row.begins_on if row.replaces is None else min(row.begins_on, row.replaces.begins_on)
    read_in = {(one.channel, one.reads) for one in (row, row.replaces) if one is not None}
    runs = Run.objects.filter(engine=row.engine, started_at__date__gte=began, is_void=False)
    found = []
    for run in runs.prefetch_related("traces").order_by("started_at"):
        newest = max(run.traces.all(), key=lambda trace: trace.pk, default=None)
        matches = newest.matches if newest else ()
        if any((match["channel"], match["unit"]) in read_in for match in matches):
            found.append(run)
    return found


def runs_turned_by(row: EngineCalibration) -> list[Run]:
    """Return the runs with a reading, typed in what an instrument reads, that a calibration turned, or turns now."""
    began = row.begins_on if row.replaces is None else min(row.begins_on, row.replaces.begins_on)
    runs = Run.objects.filter(engine=row.engine, started_at__date__gte=began, readings__converted__isnull=False)
    found = runs.filter(is_void=False).distinct().prefetch_related("readings").order_by("started_at")
    return [run for run in found if any(_is_turned(reading, row) for reading in run.standing_readings)]


def _is_turned(reading: Reading, row: EngineCalibration) -> bool:
    return reading.converted is not None and unit_fits(reading.unit, row.reads)


def read_anew(row: EngineCalibration, entry: Entry) -> None:
    """Have the runs that a corrected calibration read, read and judged anew once its correction is kept.

    The director is told of each with the correction, so that none is lost where the reading is cut off.
    """
    for run in runs_read_by(row):
        _tell(run, row, entry, READ_ANEW)
        transaction.on_commit(partial(_run_read, run.pk, entry.signed_by), robust=True)
    for run in runs_turned_by(row):
        _tell(run, row, entry, TURN_ANEW)


def _tell(run: Run, row: EngineCalibration, entry: Entry, words: str) -> None:
    """Put a run that a corrected calibration read to the director."""
    text = words.format(number=entry.number)
    of = {"operator_id": run.operator_id, "engine_id": run.engine_id, "raised_by_id": entry.signed_by_id}
    about = {"run": run, "kind": Concern.Kind.EVIDENCE, "about": row.channel, "text": text}
    Concern.objects.get_or_create(**about, defaults=of)


def _run_read(pk: UUID, by: Person) -> None:
    trace = newest_trace(Run.objects.select_related("engine__engine_type").get(pk=pk))
    if trace is not None:
        with trace.original.open("rb") as file:
            trace_enter(run=trace.run, file=file, name=trace.original_name, by=by)

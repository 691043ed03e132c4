"""Signing an engine's own calibration: what stands against it, and what it becomes."""

from datetime import date
from typing import Any

from django.utils import timezone

from engines.calibration import Calibration, calibration_faults
from engines.charts import EngineTypeData
from engines.models import EngineCalibration
from engines.queries import revision_in_force
from logbook.maintenance import reading
from logbook.maintenance.bodies import calibration_part
from logbook.maintenance.rows import Work
from logbook.models import Person


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


def keep(work: Work, by: Person) -> EngineCalibration:
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
        by=by,
    )

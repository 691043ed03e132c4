"""What a phone is given to judge by while the server cannot be asked."""

from collections.abc import Mapping
from typing import Any, Final

from django.templatetags.static import static

from engines.calibration import Calibration
from engines.charts import EngineTypeData, LimitChart
from engines.models import ColumnSetup, TypeRevision
from engines.readings_as import steps_of, units_read
from engines.unit_tables import unit_tables
from engines.units import symbol_of
from logbook.models import Person
from logbook.traces_waiting import needed_of

WORKER: Final = "logbook/js/judge/worker.js"


def judging_of(revision: TypeRevision, calibrations: Mapping[str, Calibration] | None = None) -> dict[str, Any]:
    """Return the limits and units that a sheet brings along, and what a recorded file has to give for all of them.

    ``read_as`` is how a reading typed in another unit becomes one in its limit's, by chart and unit, where the sheet
    has boxes for readings: given the engine's own calibrations.
    """
    data = revision.data
    charts = () if calibrations is None else data.charts
    return {
        "type": revision.engine_type_id,
        "revision": revision.number,
        "document": revision.document,
        "units": unit_tables(data),
        "symbols": {chart.unit: symbol_of(chart.unit) for chart in data.charts},
        "read_as": {chart.name: _read_as(chart, data, (calibrations or {}).get(chart.channel)) for chart in charts},
        "needed": needed_of(data),
        "worker": static(WORKER),
    }


def _read_as(chart: LimitChart, data: EngineTypeData, calibration: Calibration | None) -> dict[str, list[list[float]]]:
    indication = data.indication(chart.channel)
    units = units_read(chart, data.channel(chart.channel), indication, calibration)
    return {unit: steps_of(unit, chart.unit, indication, calibration) for unit in units if unit != chart.unit}


def columns_remembered(person: Person) -> dict[int, dict[str, dict[str, str]]]:
    """Return how columns of recorded files were matched before: by engine type, each channel's header and unit."""
    own = ColumnSetup.objects.filter(engine_type__engines__operator=person.operator).distinct()
    found: dict[int, dict[str, dict[str, str]]] = {}
    for setup in own.order_by("pk"):
        of = found.setdefault(setup.engine_type_id, {"columns": {}, "units": {}})
        of["columns"][setup.channel] = setup.header
        of["units"][setup.channel] = setup.unit
    return found

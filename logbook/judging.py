"""What a phone is given to judge by while the server cannot be asked."""

from typing import Any, Final

from django.templatetags.static import static

from engines.models import ColumnSetup, TypeRevision
from engines.unit_tables import unit_tables
from engines.units import symbol_of
from logbook.models import Person
from logbook.traces_waiting import needed_of

WORKER: Final = "logbook/js/judge/worker.js"


def judging_of(revision: TypeRevision) -> dict[str, Any]:
    """Return the limits and units that a sheet brings along, and what a recorded file has to give for all of them."""
    data = revision.data
    return {
        "type": revision.engine_type_id,
        "revision": revision.number,
        "document": revision.document,
        "units": unit_tables(data),
        "symbols": {chart.unit: symbol_of(chart.unit) for chart in data.charts},
        "needed": needed_of(data),
        "worker": static(WORKER),
    }


def columns_remembered(person: Person) -> dict[int, dict[str, dict[str, str]]]:
    """Return how columns of recorded files were matched before: by engine type, each channel's header and unit."""
    own = ColumnSetup.objects.filter(engine_type__engines__operator=person.operator).distinct()
    found: dict[int, dict[str, dict[str, str]]] = {}
    for setup in own.order_by("pk"):
        of = found.setdefault(setup.engine_type_id, {"columns": {}, "units": {}})
        of["columns"][setup.channel] = setup.header
        of["units"][setup.channel] = setup.unit
    return found

"""The stage in two other sizes: with lists of more than one page, and with next to nothing on it."""

import datetime
import uuid
from collections.abc import Iterator
from typing import Any

from django.test import Client

from engines.evidence import RunFacts
from engines.models import Engine, Run
from engines.web import PAGE_ROWS
from inspections import states
from inspections.models import Inspection
from logbook.access import DIRECTOR, MECHANIC
from logbook.actions import run_enter
from logbook.models import Entry
from tests.factories import STARTED_AT, EngineFactory, InspectionFactory, OperatorFactory, PersonFactory
from tests.stage import Stage, stage_set
from tests.visitors import Places, arrived
from tests.walk import AddressMissing, address_of, is_page, openable, screens

MORE = PAGE_ROWS + 1


def stage_of_pages() -> Stage:
    """Return the stage with one page more of engines, runs, inspections, entries and of what is to be settled."""
    stage = stage_set()
    run = Run.objects.get(pk=stage.places["runs/", "pk"])
    entry, concern = run.entries.earliest("number"), run.concerns.earliest("pk")
    inspection = Inspection.objects.get(pk=stage.places["inspections/", "pk"])
    numbers, entered = Inspection.objects.count(), Entry.objects.count()
    common = {"operator": stage.operator, "engine_type_id": stage.places["limits/types/", "pk"]}
    Engine.objects.bulk_create([Engine(serial=f"TB-2{k:03}", **common) for k in range(MORE)])
    for k in range(1, MORE + 1):
        copied(run, id=uuid.uuid4(), started_at=run.started_at - datetime.timedelta(days=30 + k))
        copied(inspection, pk=None, number=numbers + k, rule=f"area {k}")
        copied(entry, pk=uuid.uuid4(), number=entered + k, leaf_hash=uuid.uuid4().hex * 2)
        copied(concern, pk=None, text=f"recorded {k} days after the run began")
    return stage


def copied(row: Any, **changes: object) -> None:
    """Store a copy of a row with some columns changed."""
    values = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    new = {("id" if name == "pk" else name): value for name, value in changes.items()}
    type(row)._base_manager.bulk_create([type(row)(**values | new)])


def bare_places() -> tuple[Client, Places]:
    """Return the director of an operator with a run of which nothing was read, and what its addresses are made of."""
    operator = OperatorFactory.create(name="Bareholm Air")
    director = PersonFactory.create(operator=operator, role=DIRECTOR)
    mechanic = PersonFactory.create(operator=operator, role=MECHANIC)
    engine, idle = (EngineFactory.create(operator=operator, fitted_to="") for _ in range(2))
    run = run_enter(engine=engine, facts=RunFacts(uuid.uuid4(), Run.Kind.GROUND_RUN, STARTED_AT), by=mechanic)
    inspection = InspectionFactory.create(run=run, state=states.APPROVED)
    places: Places = {
        ("engines/", "pk"): idle.pk,
        ("runs/", "pk"): run.pk,
        ("runs/", "judgement"): run.judgements.get().pk,
        ("inspections/", "pk"): inspection.pk,
        ("entries/", "number"): 1,
        ("limits/", "pk"): inspection.revision_id,
        ("people/", "pk"): mechanic.pk,
    }
    return arrived(director).client, places


def bare_visits() -> Iterator[tuple[str, Client, str]]:
    """Yield each screen that there is with next to nothing on it."""
    client, places = bare_places()
    for name in screens():
        try:
            address = address_of(name, places)
        except AddressMissing:
            continue
        if openable()[name] != "open" and is_page(client.get(address)):
            yield name, client, address

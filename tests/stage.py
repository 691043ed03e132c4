"""One operator with enough of everything that a query for each row would show, and what its addresses are made of."""

import datetime
import uuid
from dataclasses import dataclass

import numpy as np
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from engines.actions import part_fit, revision_enter
from engines.evidence import ReadingFacts, RunFacts
from engines.models import Engine, EngineType, KeyedChart, Operator, Run, TypedReason, TypeRevision
from inspections.models import CorrectiveAction, Finding, Handover, Inspection, InspectionNote, Release, Taking
from logbook.access import ACTS, DIRECTOR, INSPECTOR, MECHANIC
from logbook.actions import run_enter, trace_enter
from logbook.desk import Authorization, SavedView
from logbook.maintenance.actions import work_open
from logbook.maintenance.rows import Discrepancy, DiscrepancyLine, Work
from logbook.maintenance.rules import rules_choose
from logbook.models import Person
from tests.documents import type_document
from tests.factories import (
    STARTED_AT,
    ComponentFactory,
    EngineFactory,
    EngineTypeFactory,
    InspectionFactory,
    OperatorFactory,
    PersonFactory,
    ReadingFactory,
    RunFactory,
    StepFactory,
    TypeRevisionFactory,
)
from tests.logbook.photos.kit import photo_of
from tests.programmes import selected
from tests.signed import run_signed
from tests.stage_checks import checks_set
from tests.stage_first_starts import first_starts_set
from tests.stage_packages import documents_came, handed_over, package_received, part_gone
from tests.stage_parts import parts_set
from tests.stage_power import power_rules_set, power_set
from tests.stage_tasks import due_places
from tests.visitors import Places, access, factors

ROWS = 11  # one query for each row alone would pass the most that a screen may cost


@dataclass(frozen=True)
class Stage:
    """What stands on the stage; ``places`` holds the value of each part of an address, by the folder it stands in."""

    operator: Operator
    people: dict[str, Person]
    secured: dict[str, Person]
    places: Places


def stage_set(rows: int = ROWS) -> Stage:
    """Store it all, through the same actions that people use where the rows depend on each other."""
    operator = OperatorFactory.create(name="Testholm Flying Service", is_demo=True)
    people = {role: PersonFactory.create(operator=operator, username=role, role=role) for role in sorted(ACTS["read"])}
    secured = {role: PersonFactory.create(operator=operator, username=f"{role}-2", role=role) for role in people}
    engine = EngineFactory.create(operator=operator, serial="TB-0001")
    power_rules_set(engine)
    run = judged_run(engine, people[MECHANIC], rows)
    inspection = run.inspections.filter(rule="area B").earliest("number")
    crowd(operator, engine, people, rows)
    work(inspection, people[MECHANIC], rows)
    rules_choose(by=people[DIRECTOR], ruleset="us")
    evidence(run, people[MECHANIC], rows)
    pictured = photos(run, inspection, people[MECHANIC], rows)
    power_set(engine, people[MECHANIC], rows)
    parts = parts_set(engine, people[MECHANIC], rows)
    draft = limits(engine.engine_type, people[INSPECTOR], rows)
    for person in people.values():
        access(person, rows)
    for person in secured.values():
        factors(person, rows)
    places = places_of(engine, run, inspection, draft)
    places |= places_kept(engine, run, people, rows) | parts | pictured | checks_set(engine, people[MECHANIC], rows)
    for place in range(rows):
        selected(engine, people[DIRECTOR], revision=str(place))
    places |= first_starts_set(engine, people[MECHANIC], rows)
    return Stage(operator, people, secured, places)


def places_of(engine: Engine, run: Run, inspection: Inspection, draft: TypeRevision) -> Places:
    """Return what addresses of engines, runs, inspections and limits are made of."""
    return {
        ("engines/", "pk"): engine.pk,
        ("engines/", "kind"): "inspection",
        ("runs/", "pk"): run.pk,
        ("runs/", "judgement"): run.judgements.get(is_current=True).pk,
        ("runs/", "place"): 1,
        ("runs/", "trace"): run.traces.earliest("pk").pk,
        ("inspections/", "pk"): inspection.pk,
        ("inspections/", "step"): 1,
        ("limits/", "pk"): draft.pk,
        ("limits/", "place"): 1,
        ("limits/types/", "pk"): engine.engine_type_id,
        ("", "form"): "csv",
    }


def places_kept(engine: Engine, run: Run, people: dict[str, Person], rows: int) -> Places:
    """Return what addresses of the record, of people and of the work that is kept are made of."""
    first, director = run.entries.earliest("number"), people[DIRECTOR]
    return {
        ("entries/", "number"): 1,
        ("received/", "pk"): (package := package_received(engine, first, director, rows)).pk,
        ("documents/", "pk"): documents_came(package, director, rows).pk,
        ("received/", "number"): 1,
        ("hand-overs/", "number"): handed_over(engine, director).number,
        ("parts/gone/", "pk"): part_gone(engine, director).pk,
        ("record/checkpoints/", "size"): 1,
        ("check/", "code"): first.leaf_hash,
        ("to-settle/", "pk"): engine.operator.concerns.earliest("pk").pk,
        ("views/", "pk"): SavedView.objects.filter(person=director).earliest("pk").pk,
        ("people/", "pk"): people[MECHANIC].pk,
        ("rules/", "outcome"): "work",
        ("work/", "pk"): maintenance(engine, people, rows).pk,
        **due_places(engine, people[MECHANIC], rows),
    }


def pulses_csv(rows: int) -> bytes:
    """Return a recorded run with as many stretches beyond the limit as there are rows of everything else."""
    pulse = np.concatenate([np.full(20, 730.0), np.full(60, 640.0)])
    itt = np.concatenate([np.full(5, 20.0), np.linspace(20, 600, 25), np.tile(pulse, rows), np.linspace(640, 200, 30)])
    n1 = np.concatenate([np.zeros(5), np.linspace(6, 60, 25), np.full(pulse.size * rows, 90.0), np.linspace(44, 0, 30)])
    lines = [f"{t},{a:.1f},{b:.1f},70,60" for t, (a, b) in enumerate(zip(itt, n1, strict=True))]
    return "\n".join(["time_s,itt,n1,torque,oil_press", *lines, ""]).encode()


def judged_run(engine: Engine, by: Person, rows: int) -> Run:
    """Return the engine's newest run, with a reading and a trace beyond a limit."""
    facts = RunFacts(uuid.uuid4(), Run.Kind.FLIGHT, STARTED_AT, readings=(ReadingFacts("ITT, running", 770.0, 20.0),))
    run = run_enter(engine=engine, facts=facts, by=by)
    run_signed(run, by)
    file = SimpleUploadedFile("run.csv", pulses_csv(rows), content_type="text/csv")
    trace_enter(run=run, file=file, name="run.csv", by=by)
    return run


def crowd(operator: Operator, engine: Engine, people: dict[str, Person], rows: int) -> None:
    """Store many engines, types, people, views, and many runs and parts of the one engine."""
    by = people[MECHANIC]
    for k in range(1, rows + 1):
        other = EngineFactory.create(operator=operator, engine_type=engine.engine_type, serial=f"TB-1{k:03}")
        InspectionFactory.create(run=RunFactory(engine=other, recorded_by=by), assigned_to=by)
        began = STARTED_AT - datetime.timedelta(days=k)
        reading = ReadingFacts("ITT, running", 770.0, 20.0)
        facts = RunFacts(uuid.uuid4(), Run.Kind.GROUND_RUN, began, typed_run_time_s=1440, readings=(reading,))
        run_signed(run_enter(engine=engine, facts=facts, by=by), by)
        component = ComponentFactory.create(operator=operator)
        part_fit(component=component, engine=engine, position=f"place {k}", at=began, by=by)
        TypeRevisionFactory.create(engine_type=EngineTypeFactory(operator=operator), entered_by=by)
        PersonFactory.create(operator=operator)
        for person in people.values():
            SavedView.objects.create(person=person, name=f"View {k}", of=SavedView.Of.values[k % 3])
            listed = {"name": str(person), "title": "Inspector", "inspections": "All", "begins_on": began.date()}
            Authorization.objects.create(operator=operator, person=person, listed_by=by, **listed)


def work(inspection: Inspection, by: Person, rows: int) -> None:
    """Store many of everything that is written down in one inspection."""
    day = timezone.localdate()
    release = {"outcome": "not_approved", "extent": "Looked at", "statement": "Not approved", "completed_on": day}
    for k in range(rows):
        StepFactory.create(inspection=inspection, answer="done", answered_by=by, answered_at=timezone.now())
        finding = Finding.objects.create(inspection=inspection, text=f"Nick {k}", recorded_by=by)
        CorrectiveAction.objects.create(
            inspection=inspection,
            finding=finding,
            description="Blended",
            data_reference="invented manual 72-00",
            completed_on=day,
            performed_by=by,
        )
        said = dict.fromkeys(("done", "not_done", "watch_for", "parts_off"), "As written")
        handover = Handover.objects.create(inspection=inspection, told_to=by, by=by, **said)
        Taking.objects.create(handover=handover, by=by)
        InspectionNote.objects.create(inspection=inspection, text=f"Note {k}", written_by=by)
        Release.objects.create(inspection=inspection, signed_by=by, signed_name=str(by), **release)


def maintenance(engine: Engine, people: dict[str, Person], rows: int) -> Work:
    """Return an inspection in work, on an engine of many discrepancies and much work."""
    for k in range(rows):
        by = people[MECHANIC]
        work_open(engine=engine, kind="work", facts={"description": f"Nozzle {k} changed"}, by=by)
        line = {"operator": engine.operator, "engine": engine, "entry": engine.entries.earliest("number")}
        row = Discrepancy.objects.create(number=k + 1, text=f"Lamp {k} out", basis="Equipment list", **line)
        state = DiscrepancyLine.State.DEFERRED if k % 2 else DiscrepancyLine.State.OPEN
        DiscrepancyLine.objects.create(discrepancy=row, entry=row.entry, state=state)
    facts = {"inspection": "100-hour inspection", "is_required_item": True, "found": [{"text": "Leak"}] * rows}
    return work_open(engine=engine, kind="inspection", facts=facts, by=people[MECHANIC])


def evidence(run: Run, by: Person, rows: int) -> None:
    """Store many readings and files of one run, and reasons typed with it."""
    for k in range(rows):
        reader = PersonFactory.create(operator=run.operator)
        ReadingFactory.create(run=run, chart=f"Chart {k}", recorded_by=reader)
        said = {"field": f"Reading {k}", "value": "770 °C", "question": "Is it so?", "reason": "Read twice"}
        TypedReason.objects.create(run=run, by=by, **said)
        trace = run.traces.latest("pk")
        trace.pk, trace.original_sha256, trace._state.adding = None, f"{k:064}", True
        trace.save()


def photos(run: Run, inspection: Inspection, by: Person, rows: int) -> Places:
    """Store many photos of a run and of an inspection, and return what their addresses are made of."""
    for _ in range(rows):
        one = photo_of(by, "run", run.pk)
        photo_of(by, "inspection", inspection.pk)
    return {("photos/", "pk"): one.pk, ("photos/of/", "thing"): "inspection", ("photos/of/", "key"): inspection.pk}


def limits(engine_type: EngineType, by: Person, rows: int) -> TypeRevision:
    """Return a draft of changed limits, every chart of it keyed many times by others."""
    document = type_document(name=engine_type.name)
    for chart in document["charts"]:
        chart["limit"] += -7 if chart.get("side") != "below" else 7
    source, day = "Invented bulletin 4", timezone.localdate() + datetime.timedelta(days=21)
    draft = revision_enter(engine_type=engine_type, document=document, source=source, in_force_from=day, by=by)
    for _ in range(rows):
        keyed_by = PersonFactory.create(operator=engine_type.operator)
        for chart in document["charts"]:
            KeyedChart.objects.create(revision=draft, chart=chart["name"], figures={}, keyed_by=keyed_by)
    return draft

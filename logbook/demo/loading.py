"""Storing the demo through the same actions that people use: recorded, judged, inspected, signed."""

import io
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from engines import actions as engine_actions
from engines.actions.parts import Fitting
from engines.evidence import TraceFile
from engines.models import Component, Engine, Operator, Run
from engines.queries import revision_in_force
from engines.start_checks import SO
from inspections import actions as inspection_actions
from inspections.models import Inspection
from logbook.access import DIRECTOR
from logbook.actions import inspection_sign, run_enter, run_sign
from logbook.concerns import concern_settle
from logbook.demo.corrections import corrections_load
from logbook.demo.first_starts import first_starts_load
from logbook.demo.maintenance import maintenance_load
from logbook.demo.owners import owners_load
from logbook.demo.parts import parts_load
from logbook.demo.photos import photos_add
from logbook.demo.plan import DemoPlan, EnginePlan, PersonPlan, RunPlan, WorkPlan
from logbook.demo.power import power_load
from logbook.demo.programmes import programmes_load
from logbook.demo.tasks import tasks_load
from logbook.models import Certificate, Concern, Person, Settlement
from logbook.part_acts import CONFIRMS as PARTS_CONFIRMED
from logbook.part_acts import part_add_sign, part_fit_sign
from logbook.people import Line, authorization_add
from logbook.queries import certificates_valid
from logbook.signing import CONFIRMS, DEMO, Signing
from logbook.start_checks import check_enter

PASSWORD = "invented for the demo"  # of every demo account, and printed where the demo is served
LATE_NOTE = "Loaded with the demo, which records past runs in one go."
LEFT_TO_SETTLE = timedelta(days=7)


def demo_load(plan: DemoPlan, today: date) -> Iterator[Run]:
    """Store what of the demo is not stored yet, and yield its runs in order, each as soon as it is judged."""
    operator, _ = Operator.objects.get_or_create(name=plan.operator, defaults={"place": plan.place, "is_demo": True})
    people = {person.username: _person(operator, person) for person in plan.people}
    _limits(operator, plan, people, today)
    engines = {engine.serial: _engine(operator, engine, plan, today) for engine in plan.engines}
    _allowed(plan, people, today)
    for engine_plan in plan.engines:
        _parts(engines[engine_plan.serial], engine_plan, people, today)
    parts_load(plan.parts, operator, people, today)
    tasks_load(plan.tasks, engines, people, today)
    for run in plan.runs:
        yield _run(engines[run.engine.serial], run, people, today)
    maintenance_load(operator, people, today)
    corrections_load(operator, people, today)
    power_load(plan, engines, people, today)
    first_starts_load(engines, people, today)
    programmes_load(engines, people, today)
    owners_load(plan, operator, people, today)


def _person(operator: Operator, plan: PersonPlan) -> Person:
    known = Person.objects.filter(username=plan.username, operator=operator).first()
    if known is not None:
        return known
    with transaction.atomic():
        person = Person.objects.create_user(
            plan.username,
            password=PASSWORD,
            first_name=plan.first_name,
            last_name=plan.last_name,
            operator=operator,
            role=plan.role,
        )
        if plan.certificate:
            Certificate.objects.create(person=person, **plan.certificate)
    return person


@transaction.atomic
def _limits(operator: Operator, plan: DemoPlan, people: dict[str, Person], today: date) -> None:
    if operator.engine_types.exists():
        return
    limits, draft = plan.limits, plan.draft
    first = engine_actions.engine_type_add(
        operator=operator, document=limits.document, source=limits.source, by=people[limits.entered_by]
    )
    engine_actions.revision_enter(
        engine_type=first.engine_type,
        document=draft.document,
        source=draft.source,
        in_force_from=draft.in_force_from(today),
        by=people[draft.entered_by],
    )


@transaction.atomic
def _allowed(plan: DemoPlan, people: dict[str, Person], today: date) -> None:
    """Write the list of who may inspect what, unless it is begun."""
    director = next(person for person in people.values() if person.role == DIRECTOR)
    if director.operator is None or director.operator.authorizations.exists():
        return
    for line in plan.people:
        if line.may_inspect:
            title, inspections = line.may_inspect["title"], line.may_inspect["inspections"]
            person = people[line.username]
            authorization_add(person=person, line=Line(title, inspections, today), by=director)


def _engine(operator: Operator, plan: EnginePlan, demo: DemoPlan, today: date) -> Engine:
    engine_type = operator.engine_types.get(name=demo.limits.document["name"])
    opening = {f"opening_{name}": value for name, value in vars(plan.opening).items()}
    engine, _ = Engine.objects.get_or_create(
        operator=operator,
        serial=plan.serial,
        defaults=opening
        | {
            "engine_type": engine_type,
            "fitted_to": plan.fitted_to,
            "position": plan.position,
            "overhauled_on": plan.overhauled_on(today),
        },
    )
    return engine


def _parts(engine: Engine, plan: EnginePlan, people: dict[str, Person], today: date) -> None:
    mechanic = next(iter(people.values()))
    for part in plan.components:
        known = Component.objects.filter(
            operator=engine.operator, part_number=part.part_number, serial=part.serial
        ).exists()
        if known:
            continue
        with transaction.atomic():
            signs: dict[str, Any] = {"by": mechanic, "signing": Signing(DEMO, PARTS_CONFIRMED)}
            entry = part_add_sign(
                part_number=part.part_number,
                serial=part.serial,
                description=part.description,
                brought_run_time_s=part.brought.run_time_s,
                brought_starts=part.brought.starts,
                brought_cycles=part.brought.cycles,
                opening_basis=f"Log card {part.serial} (invented)",
                **signs,
            )
            assert entry.component is not None
            fitting = Fitting(part.fitted_at(today), engine, position=part.position)
            part_fit_sign(component=entry.component, fitting=fitting, **signs)


def _run(engine: Engine, plan: RunPlan, people: dict[str, Person], today: date) -> Run:
    known = Run.objects.filter(pk=plan.id).first()
    if known is not None:
        return known
    by = people[plan.by]
    with transaction.atomic():
        _checks(engine, plan, people, today)
        run = run_enter(engine=engine, facts=plan.facts(today), by=by, trace=_trace(plan, today))
        if not plan.is_unsigned:
            certificate = certificates_valid(by, run.started_at.date()).first()
            run_sign(run=run, by=by, signing=Signing(DEMO, CONFIRMS, certificate))
        for work in plan.work:
            _work(run, work, people, today)
        _late_settle(run, people)
    return run


def _checks(engine: Engine, plan: RunPlan, people: dict[str, Person], today: date) -> None:
    """Keep the answers to the checks before a run's start, where the plan has some."""
    if plan.checks is None:
        return
    at = plan.started_at(today) - timedelta(minutes=plan.checks["minutes_before"])
    reasons = {int(place): words for place, words in plan.checks.get("reasons", {}).items()}
    check_enter(
        engine=engine,
        revision=revision_in_force(engine.engine_type, at.date()),
        answers=[SO if answer is True else answer for answer in plan.checks["answers"]],
        reasons=reasons,
        by=people[plan.checks["by"]],
        at=at,
        remarks="Invented for the demo.",
    )


def _late_settle(run: Run, people: dict[str, Person]) -> None:
    """Settle that an older run of the demo is recorded late, as all are that are loaded in one go; leave the newest."""
    if timezone.now() - run.started_at < LEFT_TO_SETTLE:
        return
    director = next(person for person in people.values() if person.role == DIRECTOR)
    for concern in run.concerns.filter(kind=Concern.Kind.LATE):
        concern_settle(concern=concern, decision=Settlement.Decision.STANDS, note=LATE_NOTE, by=director)


def _trace(plan: RunPlan, today: date) -> TraceFile | None:
    text = plan.trace(today)
    if text is None:
        return None
    return TraceFile(io.BytesIO(text.encode()), plan.file_name, plan.engine.match, plan.engine.units)


def _work(run: Run, plan: WorkPlan, people: dict[str, Person], today: date) -> None:
    """Do what the plan says was done in an inspection, and sign it where the plan has an outcome."""
    inspection = run.inspections.get(chart=plan.chart, rule=plan.rule, ordinal=1)
    by = people[plan.by]
    for step in inspection.steps.all():
        inspection_actions.step_answer(step=step, answer="done", reason="", by=by)
    for text in plan.findings:
        finding = inspection_actions.finding_add(inspection=inspection, text=text, by=by)
        _act(inspection, plan, by, today, finding=finding)
    if not plan.findings and plan.description:
        _act(inspection, plan, by, today)
    photos_add(inspection, plan.photos, by)
    inspection_actions.cause_set(inspection=inspection, cause=plan.cause, text=plan.cause_text, by=by)
    if plan.second_by:
        inspection_actions.inspection_second(inspection=inspection, by=people[plan.second_by])
    if plan.outcome:
        inspection_sign(
            inspection=inspection,
            by=by,
            signing=Signing(DEMO, "", by.certificates.get()),
            outcome=plan.outcome,
            extent=plan.extent,
            completed_on=plan.completed_on(today),
        )


def _act(inspection: Inspection, plan: WorkPlan, by: Person, today: date, **about: object) -> None:
    inspection_actions.action_add(
        inspection=inspection,
        description=plan.description,
        data_reference=plan.data_reference,
        completed_on=plan.completed_on(today),
        by=by,
        **about,  # type: ignore[arg-type]
    )

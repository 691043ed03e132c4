"""The demo's engine that came with its record from another owner and was handed on to a third, all invented."""

import json
from collections.abc import Mapping
from datetime import date, timedelta
from tempfile import TemporaryFile
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from django.db import transaction

from engines.actions import engine_type_add
from engines.evidence import RunFacts
from engines.models import Engine, Operator, Run
from logbook.access import DIRECTOR
from logbook.actions import run_enter, run_sign
from logbook.demo.plan import FIXTURES, DemoPlan, moment
from logbook.handover import importing, jobs
from logbook.handover.export import Export, package_write
from logbook.handover.gathering import scope_of_engine
from logbook.handover.giving import MEANING, Giving, handover_sign
from logbook.handover.words import ALL_GO, PACKED
from logbook.models import PackageJob, Person, ReceivedPackage
from logbook.signing import CONFIRMS, DEMO, Signing


def owners_load(plan: DemoPlan, operator: Operator, people: Mapping[str, Person], today: date) -> None:
    """Take a record in from another owner and hand it on to a third, unless any record was taken in before."""
    if ReceivedPackage.objects.filter(operator=operator).exists():
        return
    told = json.loads((FIXTURES / "owners.json").read_text(encoding="utf-8"))
    director = next(person for person in people.values() if person.role == DIRECTOR)
    with transaction.atomic():
        engine = _came(plan, told, operator, director, today)
    job = PackageJob.objects.create(person=director, engine=engine)
    jobs.PACKAGES.run(job.pk)
    job.refresh_from_db()
    to = told["to"]
    giving = Giving(to["name"], today - timedelta(days=to["days_ago"]), ALL_GO, PACKED, to["available"])
    handover_sign(job=job, giving=giving, by=director, signing=Signing(DEMO, MEANING))


def _came(plan: DemoPlan, told: dict[str, Any], operator: Operator, director: Person, today: date) -> Engine:
    """Let the other owner record the engine and pack it, and take the package in."""
    engine, giver = _at_their_place(plan, told, today)
    with TemporaryFile() as file:
        package_write(Export(scope_of_engine(engine), engine.operator, giver), file)
        signing = Signing(DEMO, importing.MEANING)
        package = importing.package_import(file, operator=operator, by=director, signing=signing)
    assert package.engine is not None
    return package.engine


def _at_their_place(plan: DemoPlan, told: dict[str, Any], today: date) -> tuple[Engine, Person]:
    whose, about = told["from"], told["engine"]
    owner = Operator.objects.create(name=whose["name"], place=whose["place"], is_demo=True)
    first, last = whose["by"].split()
    # Nobody signs in there: the account has no password.
    giver = Person(username=f"demo-{last.lower()}", first_name=first, last_name=last, operator=owner, role=DIRECTOR)
    giver.set_unusable_password()
    giver.save()
    limits = plan.limits
    adopted = engine_type_add(operator=owner, document=limits.document, source=limits.source, by=giver)
    engine = Engine.objects.create(operator=owner, engine_type=adopted.engine_type, **about)
    for run in told["runs"]:
        run_sign(run=_flown(engine, run, giver, today), by=giver, signing=Signing(DEMO, CONFIRMS))
    return engine, giver


def _flown(engine: Engine, told: dict[str, Any], by: Person, today: date) -> Run:
    began = moment(today, told["days_ago"], told["clock"])
    said = {"typed_run_time_s": told["typed_run_time_s"], "typed_starts": 1, "typed_cycles": 1}
    number = uuid5(NAMESPACE_URL, f"demo run of {engine.serial} {told['days_ago']}")
    return run_enter(
        engine=engine, facts=RunFacts(number, Run.Kind.FLIGHT, began, remarks=told["remarks"], **said), by=by
    )

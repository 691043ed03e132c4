"""First-start plans for tests: a type that asks for them, and what is recorded of one, step by step."""

import uuid
from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone

from engines.evidence import RunFacts
from engines.models import Engine, FirstStart, FirstStartLine
from logbook.first_starts import StepSaid, step_enter
from logbook.models import Certificate, Person
from tests.engines.first_starts_kit import AUTOMATIC, CLEAN, DRY, LEAKS, MANUAL, STARTED, first_start_document

GOOD = "As it should be"
KINDS = {DRY: "dry_motoring", MANUAL: "first_start", AUTOMATIC: "first_start"}
WHOLE = ((DRY, GOOD), (MANUAL, CLEAN), (MANUAL, CLEAN), (AUTOMATIC, STARTED), (LEAKS, GOOD))


def asks_for_first_starts(engine: Engine, **changes: Any) -> Engine:
    """Return an engine whose type asks for a first start."""
    revision = engine.engine_type.revisions.get()
    document = first_start_document(**changes)
    revision.document |= {name: document[name] for name in ("positions", "first_start")}
    revision.save(update_fields=["document"])
    return engine


def covering(person: Person, *covers: str) -> Person:
    """Return a person whose certificate covers something."""
    Certificate.objects.filter(person=person).update(covers=list(covers))
    return person


def recorded(
    plan: FirstStart, step: str, ending: str, by: Person, at: datetime | None = None, **stated: Any
) -> FirstStartLine:
    """Record how a step of a plan ended, by a run of its kind."""
    at = at or timezone.now()
    run = RunFacts(uuid.uuid4(), KINDS[step], at, **stated) if step in KINDS else None
    return step_enter(plan=plan, said=StepSaid(step, ending, facts=run, at=at), by=by)


def carried_through(plan: FirstStart, by: Person) -> FirstStart:
    """Record every step of a plan as wanted, a minute apart, the last a moment ago."""
    begun = max(plan.cause.at, timezone.now() - timedelta(minutes=len(WHOLE)))
    for k, (step, ending) in enumerate(WHOLE):
        at = min(begun + timedelta(seconds=10 * k), timezone.now())
        recorded(plan, step, ending, by, at)
        plan = FirstStart.objects.get(pk=plan.pk)
    return plan

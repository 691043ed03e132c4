"""First-start plans on the stage: many that ended, and one in the middle, with many lines."""

from typing import Any

from django.utils import timezone

from engines.actions import plan_end, plan_open, step_record
from engines.models import Engine, FirstStart
from logbook.first_start_rows import FirstStartEntry
from logbook.models import Entry, Person
from tests.factories import RunFactory
from tests.signed import entry_made
from tests.visitors import Places

STEPS = [{"name": "Dry motoring", "kind": "dry_motoring"}, {"name": "Manual-fuel start"}]
ASKED: dict[str, Any] = {"triggers": [{"when": "engine_fitted"}], "steps": STEPS}
BAD = "Not as it should be"


def first_starts_set(engine: Engine, by: Person, rows: int) -> Places:
    """Give the engine's type a first start, open plans and end all but the last, and return the place of that."""
    revision = engine.engine_type.revisions.filter(is_adopted=True).latest("number")
    revision.document["first_start"] = ASKED
    revision.save(update_fields=["document"])
    for _ in range(rows):
        plan = plan_open(engine=engine, trigger=None, reason="Bled", by=by)
        end = plan_end(plan=plan, outcome="not_called_for", on=timezone.localdate(), by=by, remarks="In error")
        body = {
            "kind": "first_start_plan",
            "title": "First-start plan",
            "first_start": {"rows": [["Asked for", "Bled"]]},
        }
        entry = entry_made(engine, body, by, end.on, kind=Entry.Kind.FIRST_START)
        FirstStartEntry.objects.create(plan_end=end, entry=entry)
    plan = plan_open(engine=engine, trigger=None, reason="Bled", by=by)
    for _ in range(rows):
        run = motored(engine, by)
        plan = FirstStart.objects.get(pk=plan.pk)
        step_record(plan=plan, step="Dry motoring", ending=BAD, by=by, run=run)
        motored(engine, by)
    return {("first-starts/", "pk"): plan.pk}


def motored(engine: Engine, by: Person) -> Any:
    """Return a dry motoring run of just now, of two people."""
    people = {"trainee": "Wren Ashdown", "supervisor": by}
    return RunFactory.create(engine=engine, kind="dry_motoring", started_at=timezone.now(), recorded_by=by, **people)

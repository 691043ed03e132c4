"""A part on the stage with many limits, many lines in its ledger, many intervals met, and many entries."""

import datetime

from django.utils import timezone

from engines.actions import LimitFacts, limit_add, part_done_add, part_remove, task_add
from engines.actions.limits import OVERHAUL_STEPS
from engines.actions.parts import Fitting
from engines.models import Component, Engine, Task
from logbook.models import PartDraft, Person
from logbook.part_acts import CONFIRMS, engine_of, part_fit_sign
from logbook.signing import PASSWORD, Signing
from tests.factories import STARTED_AT, ComponentFactory
from tests.visitors import Places

DOCUMENT = {"kind": "inspection", "mandatory": False, "repeat": {"days": 400}, "source": "invented"}
HOUR = datetime.timedelta(hours=1)


def parts_set(engine: Engine, by: Person, rows: int) -> Places:
    """Store the part, and return what its addresses are made of."""
    module = ComponentFactory.create(operator=engine.operator, part_number="TB-900")
    part: Component = ComponentFactory.create(operator=engine.operator, part_number="TB-901", description="Disc")
    intervals = [
        limit_add(
            operator=engine.operator,
            part_number=part.part_number,
            serial=part.serial if k % 2 else "",
            kind=("overhaul", "inspection")[k % 2],
            parameter=("cycles", "starts", "run_time", "time_in_service", "equivalent_cycles")[k // 2 % 5],
            facts=LimitFacts(100, "s" if k // 2 % 5 in (2, 3) else "count", "Invented chapter 5", "3"),
            by=by,
        )
        for k in range(min(rows, 10))
    ]
    at = STARTED_AT - 90 * rows * HOUR
    for k in range(rows):
        on = {"engine": engine} if k % 2 else {"parent": module}
        fitting = Fitting(at + 2 * k * HOUR, **on, position="disc")
        part_fit_sign(component=part, fitting=fitting, by=by, signing=Signing(PASSWORD, CONFIRMS))
        if k == 1:
            tasks = tasks_of(part, engine, by, rows)
        if k < rows - 1:
            part_remove(component=part, at=at + (2 * k + 1) * HOUR, by=by)
        told = {"reference": "Manual", "tested_by": "Test 3", "steps": OVERHAUL_STEPS}
        part_done_add(component=part, limit=intervals[0], at=at + (2 * k + 0.5) * HOUR, by=by, **told)
    drafts = [draft_waiting(part, by) for _ in range(rows)]
    return {
        ("parts/sent/", "pk"): drafts[0].pk,
        ("parts/", "pk"): part.pk,
        ("parts/", "limit"): intervals[0].pk,
        ("parts/", "key"): tasks[0].pk,
    }


def draft_waiting(part: Component, by: Person) -> PartDraft:
    """Return what another program sent of a part: that it was removed."""
    facts = {"at": timezone.now().isoformat(), "control": "", "is_temporary": False, "place": "", "remarks": ""}
    told = {"title": f"{part} removed", "told": [["What was done", "Removed"]], "digest": "0" * 64}
    about = {"operator": part.operator, "engine": engine_of(part), "component": part, "sent_by": by}
    draft: PartDraft = PartDraft.objects.create(kind=PartDraft.Kind.REMOVE, facts=facts, **about, **told)
    return draft


def tasks_of(part: Component, engine: Engine, by: Person, rows: int) -> list[Task]:
    """Give a part that is on an engine many tasks of its own."""
    added = {"engine": engine, "component": part, "begins_on": STARTED_AT.date(), "by": by}
    return [task_add(document=DOCUMENT | {"name": f"Look {k}"}, **added) for k in range(rows)]

"""The stage of all screens, filled up with a large fleet: engines, their runs, judgements, entries and what is open."""

import uuid
from collections.abc import Iterator
from datetime import timedelta
from functools import cache
from typing import Any

from django.db import connection, transaction

from engines.actions.stays import usage_rebuild
from engines.models import Engine, Run
from inspections import states
from inspections.models import Exceedance, Inspection, Judgement
from logbook.access import MECHANIC
from logbook.desk import Concern
from logbook.ledger.canonical import canonical
from logbook.models import Entry
from tests.factories import STARTED_AT
from tests.stage import Stage, stage_set

BATCH = 500
EVERY_CALLED, EVERY_OPEN = 50, 10  # one run in so many called for an inspection, one inspection in so many is open
WITHIN = {"excursions": [], "samples": 0, "unobserved": [], "not_judged": [], "usage": None, "repeats": []}


@cache
def stage_kept() -> Stage:
    """Return the stage, set once."""
    with transaction.atomic():
        return stage_set()


def fleet_fill(engines: int, runs_each: int) -> Iterator[str]:
    """Store as many engines more, each with as many runs, and yield now and then how far it is."""
    stage = stage_kept()
    kept = Engine.objects.bulk_create(
        [
            Engine(operator=stage.operator, engine_type_id=stage.places["limits/types/", "pk"], serial=f"F-{k:05}")
            for k in range(engines)
        ]
    )
    for first in range(0, engines, BATCH):
        with transaction.atomic():
            runs_fill(stage, kept[first : first + BATCH], runs_each)
        yield f"{min(first + BATCH, engines):,} engines with {min(first + BATCH, engines) * runs_each:,} runs"
    connection.cursor().execute("ANALYZE")


def runs_fill(stage: Stage, engines: list[Engine], runs_each: int) -> None:
    """Store the runs of some engines, each judged and with its entry."""
    by, revision = stage.people[MECHANIC], engines[0].engine_type.revisions.get(number=1)
    number = stage.operator.entries.count()
    for engine in engines:
        runs = [run_of(engine, k, by.pk) for k in range(runs_each)]
        Run.objects.bulk_create(runs)
        usage_rebuild(engine)
        Judgement.objects.bulk_create([Judgement(run=run, revision=revision, verdict=WITHIN) for run in runs])
        Entry.objects.bulk_create([entry_of(run, number + k, by.pk) for k, run in enumerate(runs, start=1)])
        number += runs_each
        called_fill(runs[::EVERY_CALLED], revision.pk)


def run_of(engine: Engine, k: int, by: int) -> Run:
    """Return one run: an engine flies about every nine days."""
    began = STARTED_AT - timedelta(days=9 * k, minutes=engine.pk % 600)
    told: dict[str, Any] = {"kind": Run.Kind.FLIGHT, "started_at": began, "recorded_by_id": by}
    used = {"run_time_s": 4000 + k, "time_in_service_s": 3600 + k, "starts": 1, "cycles": 1}
    return Run(id=uuid.uuid4(), operator_id=engine.operator_id, engine=engine, request_digest="0" * 64, **told, **used)


def entry_of(run: Run, number: int, by: int) -> Entry:
    """Return the entry of a run, as short as the lists need it."""
    body = {"title": "Run", "times": {"run_time_s": run.run_time_s, "time_in_service_s": 0, "starts": 1, "cycles": 1}}
    told: dict[str, Any] = {"kind": Entry.Kind.RUN, "completed_on": run.started_at.date(), "signed_by_id": by}
    sealed = {"content": canonical(body), "leaf_hash": uuid.uuid4().hex * 2, "signed_at": run.started_at}
    return Entry(operator_id=run.operator_id, number=number, engine=run.engine, run=run, **sealed, **told)


def called_fill(runs: list[Run], revision: int) -> None:
    """Store what some runs called for, most of it settled, and something to settle where it is not."""
    number = Inspection.objects.count()
    rows = [inspection_of(run, number + k, revision) for k, run in enumerate(runs, start=1)]
    Inspection.objects.bulk_create(rows)
    judged = {judgement.run_id: judgement for judgement in Judgement.objects.filter(run__in=runs)}
    Exceedance.objects.bulk_create([exceedance_of(row, judged[row.run_id]) for row in rows])
    Concern.objects.bulk_create([concern_of(row.run) for row in rows if row.state == states.OPEN])


def inspection_of(run: Run, number: int, revision: int) -> Inspection:
    """Return what a run called for."""
    state = states.OPEN if number % EVERY_OPEN == 0 else states.APPROVED
    told: dict[str, Any] = {"chart": "ITT, running", "rule": "area B", "summary": "Hot section inspection"}
    common = {"operator_id": run.operator_id, "number": number, "engine": run.engine, "revision_id": revision}
    return Inspection(run=run, before_next_flight=True, state=state, **common, **told)


def exceedance_of(inspection: Inspection, judgement: Judgement) -> Exceedance:
    """Return the excursion that an inspection was called for by."""
    told: dict[str, Any] = {"chart": inspection.chart, "channel": "itt", "unit": "degC", "side": "above"}
    measured = {"peak": 770.0, "seconds_above": 20.0, "area": "B", "area_possible": "B", "possible": 1}
    return Exceedance(judgement=judgement, engine=inspection.engine, inspection=inspection, **told, **measured)


def concern_of(run: Run) -> Concern:
    """Return something to settle about a run."""
    told: dict[str, Any] = {"kind": Concern.Kind.LATE, "about": "Recorded late", "text": "recorded 3 days after"}
    common = {"operator_id": run.operator_id, "engine": run.engine, "raised_by_id": run.recorded_by_id}
    return Concern(run=run, **common, **told)

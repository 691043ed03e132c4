"""Correcting runs: what was stated stays, and everything that is added up from it moves by the difference."""

import dataclasses
import datetime
from typing import Any

import pytest
from django.db import connection
from django.db.utils import DatabaseError
from django.test.utils import CaptureQueriesContext

from engines import actions
from engines.errors import DomainError
from engines.evidence import ReasonFacts, RunFacts
from engines.latest import latest_of, meter_before
from engines.models import Engine, Run, RunCorrection, UsagePoint
from engines.queries import engine_times
from engines.standing import with_tasks
from logbook.models import Person
from tests.factories import ComponentFactory
from tests.runs import DAY, STARTED_AT, facts, hot, trace_file

WHY = "A digit was lost in copying."


@pytest.fixture
def stated() -> RunFacts:
    """Return what was first stated of the run."""
    return facts(("ITT, running", 715.0, 30.0), typed_run_time_s=1440, typed_starts=1, typed_meter_h=100.4)


@pytest.fixture
def run(engine: Engine, mechanic: Person, stated: RunFacts) -> Run:
    """Return a run recorded with a reading and a reason."""
    reasons = (ReasonFacts("Starts", "1", "Is it so?", "It is."),)
    return actions.run_record(engine=engine, facts=dataclasses.replace(stated, reasons=reasons), by=mechanic)


def correct(run: Run, stated: RunFacts, by: Person, **changes: Any) -> RunCorrection:
    """Correct a run as somebody would who changes a few figures of its sheet."""
    return actions.run_correct(run=run, facts=dataclasses.replace(stated, **changes), why=WHY, by=by)


def test_r_cor_1_what_was_stated_stays_beside_what_is(run: Run, stated: RunFacts, mechanic: Person) -> None:
    """R-COR-1: never overwrite or delete."""
    reading = dataclasses.replace(stated.readings[0], peak=725.0)
    correction = correct(run, stated, mechanic, typed_run_time_s=14400, readings=(reading,), remarks="Copied again")
    run = Run.objects.get(pk=run.pk)
    assert (correction.was["typed_run_time_s"], correction.stated["typed_run_time_s"]) == (1440, 14400)
    assert (correction.was["remarks"], run.remarks, run.run_time_s) == ("", "Copied again", 14400)
    assert [(r.correction, r.peak) for r in run.readings.all()] == [(0, 715.0), (1, 725.0)]
    assert [r.peak for r in run.standing_readings] == [725.0]
    assert str(correction) == f"Corrected: {WHY}"
    assert (correction.number, correction.why, correction.by_id) == (1, WHY, mechanic.pk)


@pytest.mark.parametrize("change", ["UPDATE engines_runcorrection SET why = ''", "DELETE FROM engines_runcorrection"])
def test_r_cor_1_the_database_keeps_a_correction(run: Run, stated: RunFacts, mechanic: Person, change: str) -> None:
    """R-COR-1: nor by plain SQL."""
    correct(run, stated, mechanic, typed_starts=2)
    with pytest.raises(DatabaseError, match="only ever added"), connection.cursor() as cursor:
        cursor.execute(change)


def test_r_cor_6_what_is_added_up_moves_by_the_difference(
    engine: Engine, run: Run, stated: RunFacts, mechanic: Person
) -> None:
    """R-COR-6: times that changed by correction are re-derived everywhere."""
    part = ComponentFactory.create(operator=engine.operator)
    actions.part_fit(component=part, engine=engine, position="1", at=STARTED_AT + DAY, by=mechanic)
    later = facts(started_at=STARTED_AT + 2 * DAY, typed_run_time_s=3600)
    actions.run_record(engine=engine, facts=later, by=mechanic)
    begun = UsagePoint.objects.get(engine=engine, at=STARTED_AT + DAY)
    before = engine_times(engine)
    correct(run, stated, mechanic, typed_run_time_s=1800, typed_starts=2)
    after = engine_times(engine)
    assert (after.run_time_s - before.run_time_s, after.starts - before.starts) == (360, 1)
    begun.refresh_from_db()
    assert (begun.run_time_s, begun.starts) == (1800, 2)
    run = Run.objects.get(pk=run.pk)
    correct(run, stated, mechanic, started_at=STARTED_AT + 3 * DAY)
    begun.refresh_from_db()
    assert (begun.run_time_s, begun.starts) == (0, 0)
    assert engine_times(engine, STARTED_AT + 2 * DAY).run_time_s == before.run_time_s - 1440


def test_r_cor_6_a_correction_ten_years_back_reads_and_writes_only_what_it_touches(
    engine: Engine, mechanic: Person
) -> None:
    """R-COR-6: as many statements after one later run as after forty."""
    early = facts(started_at=STARTED_AT - 3652 * DAY, typed_run_time_s=1440)
    run = actions.run_record(engine=engine, facts=early, by=mechanic)
    costs = []
    for many, typed in ((1, 1500), (39, 1600)):
        for _ in range(many):
            actions.run_record(engine=engine, facts=facts(typed_run_time_s=3600), by=mechanic)
        run = Run.objects.get(pk=run.pk)
        with CaptureQueriesContext(
            connection,
        ) as asked:
            correct(run, early, mechanic, typed_run_time_s=typed)
        costs.append(len(asked))
    assert costs[0] == costs[1]
    assert engine_times(engine).run_time_s == 1600 + 40 * 3600


def test_a_void_run_counts_nothing_and_is_read_nowhere(
    engine: Engine, run: Run, stated: RunFacts, mechanic: Person
) -> None:
    correction = actions.run_void(run=run, why="It was another engine's.", by=mechanic)
    run = Run.objects.get(pk=run.pk)
    assert (run.is_void, run.run_time_s, run.starts, run.typed_meter_h) == (True, 0, 0, None)
    assert (correction.how, correction.was["typed_meter_h"]) == ("void", 100.4)
    assert engine_times(engine).run_time_s == 0
    assert (run.standing_readings, run.readings.count()) == ([], 1)
    assert (latest_of(engine), meter_before(engine, STARTED_AT + DAY)) == ({}, None)
    assert with_tasks(Engine.objects.all()).get().last_run_at is None  # type: ignore[attr-defined]
    for refused in (
        lambda: correct(run, stated, mechanic, typed_starts=3),
        lambda: actions.run_void(run=run, why=WHY, by=mechanic),
        lambda: actions.trace_add(run=run, file=trace_file(hot(30)), name="late.csv", by=mechanic),
    ):
        with pytest.raises(DomainError) as caught:
            refused()
        assert caught.value.code == "run_void"


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"why": " ", "typed_starts": 2}, "text_missing"),
        ({}, "nothing_changed"),
        ({"started_at": datetime.datetime(2999, 1, 1, tzinfo=datetime.UTC)}, "run_impossible"),
    ],
)
def test_nothing_is_half_stored(
    run: Run, stated: RunFacts, mechanic: Person, changes: dict[str, Any], code: str
) -> None:
    why = changes.pop("why", WHY)
    with pytest.raises(DomainError) as caught:
        actions.run_correct(run=run, facts=dataclasses.replace(stated, **changes), why=why, by=mechanic)
    assert caught.value.code == code
    stored = Run.objects.get(pk=run.pk)
    assert (stored.correction, stored.starts, RunCorrection.objects.count()) == (0, 1, 0)


def test_what_a_trace_shows_counts_where_no_figure_is_typed_any_longer(run: Run, mechanic: Person) -> None:
    actions.trace_add(run=run, file=trace_file(hot(30)), name="gauge.csv", by=mechanic)
    shown = facts(typed_starts=1)
    actions.run_correct(run=run, facts=shown, why=WHY, by=mechanic)
    untyped = Run.objects.get(pk=run.pk)
    assert (untyped.typed_run_time_s, untyped.correction) == (None, 1)
    assert untyped.run_time_s != 1440

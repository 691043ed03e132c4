"""Recording runs, and keeping traces beside them."""

import datetime
import io
from pathlib import Path

import pytest
from django.db import IntegrityError

from engines import actions, queries
from engines.errors import DomainError, TraceError
from engines.models import ColumnSetup, Engine, Run, RunTrace, TraceExtreme
from engines.times import Times
from logbook.models import Person
from tests.documents import type_document
from tests.runs import DAY, STARTED_AT, facts, hot, trace_file


def test_a_run_is_stored_with_its_readings(engine: Engine, mechanic: Person) -> None:
    stated = facts(("ITT, running", 715.0, None), typed_run_time_s=600, typed_starts=1, remarks="Windy")
    run = actions.run_record(engine=engine, facts=stated, by=mechanic)
    run.refresh_from_db()
    assert (run.pk, run.run_time_s, run.starts, run.cycles, run.remarks) == (stated.id, 600, 1, 0, "Windy")
    reading = run.readings.get()
    assert (reading.chart, reading.unit, reading.peak, reading.seconds) == ("ITT, running", "degC", 715.0, None)
    assert str(run) == "Ground run of TB-0001, 2026-05-04 07:30"
    with pytest.raises(IntegrityError):
        actions.run_record(engine=engine, facts=stated, by=mechanic)


@pytest.mark.parametrize(
    ("stated", "field"),
    [
        (facts(kind="joyride"), "kind"),
        (facts(started_at=datetime.datetime(2026, 5, 4, 7, 30)), "started_at"),  # noqa: DTZ001 - that is the fault
        (facts(started_at=datetime.datetime(2999, 1, 1, tzinfo=datetime.UTC)), "started_at"),
        (facts(started_at=datetime.datetime(1899, 12, 31, tzinfo=datetime.UTC)), "started_at"),
        (facts(("Noise", 1.0, 1.0)), "readings[0].chart"),
        (facts(("ITT, running", float("nan"), 1.0)), "readings[0].peak"),
        (facts(("ITT, running", -1e12 - 1, 1.0)), "readings[0].peak"),
        (facts(("ITT, running", 1e12, 1.0)), "readings[0].peak"),
        (facts(("ITT, running", 1.0, -1.0)), "readings[0].seconds"),
        (facts(("ITT, running", 1.0, float("inf"))), "readings[0].seconds"),
        (facts(("ITT, running", 1.0, 1.0, "psi")), "readings[0].unit"),  # type: ignore[arg-type]
    ],
)
def test_what_cannot_be_is_refused_by_field(engine: Engine, mechanic: Person, stated: object, field: str) -> None:
    with pytest.raises(DomainError) as caught:
        actions.run_record(engine=engine, facts=stated, by=mechanic)  # type: ignore[arg-type]
    assert (caught.value.code, list(caught.value.fields)) == ("run_impossible", [field])
    assert not Run.objects.exists()


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    return actions.run_record(engine=engine, facts=facts(), by=mechanic)


def test_a_trace_is_kept_packed_beside_the_file_as_it_came(run: Run, mechanic: Person) -> None:
    file = trace_file(hot(30))
    trace = actions.trace_add(run=run, file=file, name="gauge.csv", by=mechanic)
    assert (trace.samples, trace.duration_s, trace.unused) == (40, 39.0, [])
    assert [match["channel"] for match in trace.matches] == ["itt", "n1"]
    with trace.original.open("rb") as kept:
        assert kept.read() == file.getvalue()
    recording = queries.recording_of(trace)
    assert recording.trace.channels["itt"].max() == 715.0
    extremes = {(e.channel, e.regime): (e.lowest, e.highest) for e in TraceExtreme.objects.filter(trace=trace)}
    assert extremes["itt", "running"] == (650.0, 715.0)
    assert extremes["n1", ""] == (90.0, 90.0)
    run.refresh_from_db()
    assert run.run_time_s == 39  # already running from the first row to the last
    assert actions.trace_add(run=run, file=file, name="again.csv", by=mechanic) == trace
    assert queries.newest_trace(run) == trace


def test_a_typed_figure_stands_beside_what_the_trace_shows(engine: Engine, mechanic: Person) -> None:
    run = actions.run_record(engine=engine, facts=facts(typed_run_time_s=60, typed_cycles=2), by=mechanic)
    actions.trace_add(run=run, file=trace_file(hot(30)), name="gauge.csv", by=mechanic)
    run.refresh_from_db()
    assert (run.run_time_s, run.starts, run.cycles) == (60, 0, 2)


def test_a_bad_file_stores_nothing(run: Run, mechanic: Person, settings: object) -> None:
    before = stored(run)
    with pytest.raises(TraceError, match="line 4"):
        actions.trace_add(run=run, file=io.BytesIO(b"time_s,itt\n0,1\n2,1\n1,1\n"), name="x.csv", by=mechanic)
    assert not RunTrace.objects.exists()
    assert stored(run) == before


def test_a_failure_while_storing_leaves_no_file(run: Run, mechanic: Person, monkeypatch: pytest.MonkeyPatch) -> None:
    before = stored(run)

    def fail(*args: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr("engines.actions.runs._keep", fail)
    with pytest.raises(OSError, match="disk full"):
        actions.trace_add(run=run, file=trace_file(hot(30)), name="gauge.csv", by=mechanic)
    assert not RunTrace.objects.exists()
    assert stored(run) == before


def stored(run: Run) -> list[str]:
    """Return the names of the files of a run."""
    folder = Path(RunTrace(run=run).original.storage.path(""))
    return sorted(path.name for path in folder.rglob("*") if path.is_file() and str(run.pk) in path.name)


def test_a_matched_column_is_remembered_for_the_type(engine: Engine, run: Run, mechanic: Person) -> None:
    file = trace_file(hot(30), header="T5 deg C")
    actions.trace_add(run=run, file=file, name="a.csv", by=mechanic, columns={"itt": "T5 deg C"})
    setup = ColumnSetup.objects.get()
    assert (setup.header, setup.channel, str(setup)) == ("T5 deg C", "itt", "T5 deg C → itt")
    later = actions.run_record(engine=engine, facts=facts(started_at=STARTED_AT + DAY), by=mechanic)
    trace = actions.trace_add(run=later, file=trace_file(hot(10), header="T5 deg C"), name="b.csv", by=mechanic)
    assert [match["header"] for match in trace.matches] == ["T5 deg C", "n1"]
    # A file without that header is read as it is.
    plain = actions.run_record(engine=engine, facts=facts(started_at=STARTED_AT + 2 * DAY), by=mechanic)
    trace = actions.trace_add(run=plain, file=trace_file(hot(12)), name="c.csv", by=mechanic)
    assert [match["header"] for match in trace.matches] == ["itt", "n1"]


POWER = {"channel": "torque", "low": 30, "high": 70}
FLIGHT = {"channel": "oil_press", "low": 30, "high": 50}  # stands in for a channel that tells flight


def powered_csv() -> io.BytesIO:
    """Return a run with two excursions of power, and a hundred seconds off the surface."""
    torque = [0] * 40 + [80] * 20 + [20] * 20 + [80] * 20 + [0] * 40
    n1 = [0, 10, 40, 60] + [90] * 130 + [40, 20, 4, 0, 0, 0]
    itt = [20, 20, 400, 600] + [640] * 130 + [300] * 6
    off = [10] * 20 + [60] * 100 + [10] * 20
    rows = [f"{t},{a},{b},{c},{d}" for t, (a, b, c, d) in enumerate(zip(itt, n1, torque, off, strict=True))]
    return io.BytesIO("\n".join(["time_s,itt,n1,torque,oil_press", *rows, ""]).encode())


def test_a_trace_tells_what_the_rules_of_the_type_count(engine: Engine, mechanic: Person) -> None:
    """Two rises of the torque in one start are one full cycle and one partial; off from row 20 to row 120."""
    revision = engine.engine_type.revisions.get()
    revision.document = type_document(partial_cycles=POWER, airborne=FLIGHT)
    revision.save()
    run = actions.run_record(engine=engine, facts=facts(typed_starts=3), by=mechanic)
    trace = actions.trace_add(run=run, file=powered_csv(), name="run.csv", by=mechanic)
    run.refresh_from_db()
    assert trace.shown == {"time_in_service_s": 100, "take_offs": 1, "partial_cycles": 1}
    assert (run.starts, run.cycles, run.partial_cycles, run.time_in_service_s) == (3, 1, 1, 100)
    assert queries.engine_times(engine).partial_cycles == 1


def test_what_is_typed_stands_before_what_a_trace_shows(engine: Engine, mechanic: Person) -> None:
    """Light-off at row 2, running until row 134: 132 s."""
    revision = engine.engine_type.revisions.get()
    revision.document = type_document(partial_cycles=POWER, counters=[{"name": "landings"}])
    revision.save()
    typed = facts(typed_partial_cycles=4, other={"landings": 2})
    run = actions.run_record(engine=engine, facts=typed, by=mechanic)
    actions.trace_add(run=run, file=powered_csv(), name="run.csv", by=mechanic)
    assert queries.engine_times(engine) == Times(132, 0, 1, 1, 4, {"landings": 2})
    with pytest.raises(DomainError) as caught:
        actions.run_record(engine=engine, facts=facts(other={"wishes": 2}), by=mechanic)
    assert caught.value.fields == {"other.wishes": "is not counted of this type"}

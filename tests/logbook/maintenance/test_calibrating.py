"""An engine's own calibration: signed as an entry, only added to, and what traces are read by from its day on."""

import io
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.errors import DomainError, TraceError
from engines.evidence import ReadingFacts, RunFacts
from engines.models import Engine, EngineCalibration, Run
from engines.queries import calibrations_on, newest_trace, recording_of
from logbook.actions import run_enter, trace_enter
from logbook.corrections import Correcting, run_corrected
from logbook.handover.gathering import record_of, scope_of_engine
from logbook.maintenance.correcting import work_corrected
from logbook.models import Concern, Entry, Person, Unsigned
from tests.factories import STARTED_AT
from tests.logbook.maintenance.kit import opened, sign_on_screen, signed
from tests.logbook.printing.reading import pages_of
from tests.logbook.screen_kit import signed_in, words
from tests.logbook.test_part_corrections import corrected
from tests.power import indicated_document
from tests.signed import run_signed, signing_of

INDICATION = [{"channel": "torque", "reads": ["psi"], "full": {"value": 1480, "unit": "lbf*ft"}}]
DAY = STARTED_AT.date()
SAID = {
    "channel": "torque",
    "reads": "psi",
    "pairs": "0 = 0\n10 = 40\n22 = 100",
    "on": DAY.isoformat(),
    "source": "Bench sheet 12, invented",
}


@pytest.fixture
def indicated(engine: Engine) -> Engine:
    """Return an engine whose type says that torque is read in psi."""
    revision = engine.engine_type.revisions.get()
    revision.document = revision.document | {"calibration": INDICATION}
    revision.save(update_fields=["document"])
    return engine


def test_it_is_written_read_and_signed(client: Client, indicated: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    sheet = words(client.get(reverse("work_add", args=[indicated.pk, "calibration"])))
    assert "Torque" in sheet and "What is read = what it is" in sheet
    assert client.post(reverse("work_add", args=[indicated.pk, "calibration"]), SAID).status_code == 302
    sign_on_screen(client, indicated.work.get())
    entry = Entry.objects.get()
    assert entry.kind == Entry.Kind.CALIBRATION
    text = " ".join(" ".join(pages_of(client.get(reverse("entry_print", args=[entry.number])).content)).split())
    for said in ("Channel Torque", "Taken from Bench sheet 12, invented", "Read, psi Is, % 0 0 10 40 22 100"):
        assert said in text
    kept = EngineCalibration.objects.get()
    assert (kept.pairs, kept.begins_on, kept.by) == ([[0, 0], [10, 40], [22, 100]], DAY, mechanic)
    with pytest.raises(TypeError, match="only ever added"):
        kept.save()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"pairs": "0 = 0\n10 40"}, "Line 2, “10 40”"),
        ({"pairs": "0 = 0"}, "at least two pairs"),
        ({"source": ""}, "Name the sheet"),
        ({"channel": "itt"}, "Choose a channel"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_kept(
    client: Client, indicated: Engine, mechanic: Person, changes: dict[str, Any], said: str
) -> None:
    work = opened(indicated, mechanic, "calibration", **SAID | changes)
    with pytest.raises(DomainError, match=said) as refused:
        signed(work, mechanic)
    assert refused.value.code == "work_refused"
    assert said in words(signed_in(client, mechanic).get(reverse("work_detail", args=[work.pk])))
    assert not EngineCalibration.objects.exists()


def test_the_one_that_began_last_holds(indicated: Engine, mechanic: Person) -> None:
    assert calibrations_on(indicated, DAY) == {}
    signed(opened(indicated, mechanic, "calibration", **SAID), mechanic)
    later = {"on": (DAY + timedelta(days=3)).isoformat(), "pairs": "0 = 0\n20 = 100"}
    signed(opened(indicated, mechanic, "calibration", **SAID | later), mechanic)
    assert calibrations_on(indicated, DAY - timedelta(days=1)) == {}
    assert calibrations_on(indicated, DAY)["torque"].value(22.0) == 100
    assert calibrations_on(indicated, DAY + timedelta(days=3))["torque"].value(22.0) == pytest.approx(110)


def pressure_csv() -> bytes:
    rows = [f"{t},640,90,{16 if t < 20 else 23}" for t in range(40)]
    return "\n".join(["time_s,itt,n1,torque [psi]", *rows, ""]).encode()


def recorded(engine: Engine, by: Person) -> Run:
    run = run_enter(engine=engine, facts=RunFacts(Run().pk, "ground_run", STARTED_AT), by=by)
    trace_enter(run=run, file=io.BytesIO(pressure_csv()), name="run.csv", by=by)
    return run


def test_a_trace_in_what_the_instrument_reads_is_kept_in_the_channels_unit(indicated: Engine, mechanic: Person) -> None:
    signed(opened(indicated, mechanic, "calibration", **SAID), mechanic)
    trace = newest_trace(recorded(indicated, mechanic))
    assert trace is not None
    torque = recording_of(trace).trace.channels["torque"]
    assert (torque[0], torque[-1]) == (pytest.approx(70), pytest.approx(105))
    # What was recorded stays: the file as it came, and the unit that its column was in.
    with trace.original.open("rb") as file:
        assert file.read() == pressure_csv()
    assert {"header": "torque [psi]", "channel": "torque", "unit": "psi"} in trace.matches


def put_right(entry: Entry, by: Person, **facts: Any) -> Entry:
    """Correct the entry of a calibration."""
    correcting = Correcting(by, "The sheet of another gauge.", signing_of(by))
    return work_corrected(entry=entry, facts=SAID | facts, correcting=correcting)


def test_r_cor_6_a_corrected_calibration_reads_its_runs_anew(
    indicated: Engine, mechanic: Person, django_capture_on_commit_callbacks: Any
) -> None:
    """By hand: 16 psi of pairs 10 = 40 and 22 = 100 are 70 %, of 10 = 40 and 22 = 88 they are 64, and 23 are 92."""
    entry = signed(opened(indicated, mechanic, "calibration", **SAID), mechanic)
    run = recorded(indicated, mechanic)
    run_signed(run, mechanic)
    assert not Concern.objects.filter(kind="evidence").exists()
    with django_capture_on_commit_callbacks(execute=True):
        newer = put_right(entry, mechanic, pairs="0 = 0\n10 = 40\n22 = 88")
    assert (newer.corrects, newer.kind) == (entry, Entry.Kind.CALIBRATION)
    changed = {line["what"]: (line["was"], line["is"]) for line in newer.body["correction"]["changes"]}
    assert changed["What is read, and what it is, 22"] == ("100", "88")
    old, new = EngineCalibration.objects.order_by("pk")
    assert (new.replaces, calibrations_on(indicated, DAY)["torque"].value(22.0)) == (old, 88)
    first, second = run.traces.order_by("pk")
    torque = recording_of(second).trace.channels["torque"]
    assert (torque[0], torque[-1]) == (pytest.approx(64), pytest.approx(92))
    assert recording_of(first).trace.channels["torque"][-1] == pytest.approx(105), "what was read before stays"
    assert (first.original_sha256, first.original.name) == (second.original_sha256, second.original.name)
    assert run.judgements.get(is_current=True).trace == second
    assert Unsigned.objects.filter(run=run).exists(), "it is to be read and signed once more"
    (concern,) = Concern.objects.filter(run=run, kind="evidence")
    assert f"entry {newer.number} corrects" in concern.text
    assert {row["id"] for row in record_of(scope_of_engine(indicated))["tables"]["traces"]} == {first.pk, second.pk}


def test_r_cor_6_a_reading_that_it_turned_is_put_forward_and_turned_anew(indicated: Engine, mechanic: Person) -> None:
    """By hand: 23 psi of pairs 10 = 40 and 22 = 100 are 105 %, of 10 = 40 and 22 = 88 they are 92."""
    revision = indicated.engine_type.revisions.get()
    revision.document = indicated_document(name=indicated.engine_type.name)
    revision.save(update_fields=["document"])
    entry = signed(opened(indicated, mechanic, "calibration", **SAID), mechanic)
    facts = RunFacts(Run().pk, "ground_run", STARTED_AT, readings=(ReadingFacts("Torque", 23.0, 6.0, "psi"),))
    run = run_enter(engine=indicated, facts=facts, by=mechanic)
    run_signed(run, mechanic)
    newer = put_right(entry, mechanic, pairs="0 = 0\n10 = 40\n22 = 88")
    (concern,) = Concern.objects.filter(run=run, kind="evidence", about="torque")
    assert f"turned by a calibration that entry {newer.number} corrects. Correct the run" in concern.text
    again = Correcting(mechanic, "Turned by the calibration that stands", signing_of(mechanic))
    run_corrected(run=run, facts=facts, correcting=again)
    turned = [reading.converted for reading in Run.objects.get(pk=run.pk).readings.order_by("pk")]
    assert turned == [pytest.approx(105), pytest.approx(92)]
    with pytest.raises(DomainError) as refused:
        run_corrected(run=Run.objects.get(pk=run.pk), facts=facts, correcting=again)
    assert refused.value.code == "nothing_changed"


def test_the_same_file_again_is_read_anew_where_the_reading_was_cut_off(indicated: Engine, mechanic: Person) -> None:
    entry = signed(opened(indicated, mechanic, "calibration", **SAID), mechanic)
    run = recorded(indicated, mechanic)
    again = {"file": io.BytesIO(pressure_csv()), "name": "run.csv", "by": mechanic}
    assert trace_enter(run=run, **again) == (newest_trace(run), False)
    put_right(entry, mechanic, pairs="0 = 0\n22 = 88")
    trace, is_new = trace_enter(run=run, **again)
    assert (is_new, run.traces.count()) == (True, 2)
    assert recording_of(trace).trace.channels["torque"][-1] == pytest.approx(92)
    assert trace_enter(run=run, **again) == (trace, False)


def test_r_cor_1_a_calibration_is_put_right_on_the_screen(client: Client, indicated: Engine, mechanic: Person) -> None:
    """From another day on: a run of the day before is read by none, and of that the director is told."""
    entry = signed(opened(indicated, mechanic, "calibration", **SAID), mechanic)
    signed_in(client, mechanic)
    later = (DAY + timedelta(days=2)).isoformat()
    assert corrected(client, entry, on=later, source="Bench sheet 13, invented").status_code == 302
    assert calibrations_on(indicated, DAY) == {}
    assert calibrations_on(indicated, DAY + timedelta(days=2))["torque"].source == "Bench sheet 13, invented"
    newer = Entry.objects.get(corrects=entry)
    assert corrected(client, newer, on=DAY.isoformat()).status_code == 302
    assert calibrations_on(indicated, DAY)["torque"].begins_on == DAY
    assert EngineCalibration.objects.filter(replaced_by=None).count() == 1


def test_without_a_calibration_of_that_day_it_is_refused(indicated: Engine, mechanic: Person) -> None:
    with pytest.raises(TraceError, match="they measure different things"):
        recorded(indicated, mechanic)

"""Correcting what is signed: old and new stand beside each other, and everything that follows is worked out anew."""

import dataclasses
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from engines.errors import DomainError
from engines.evidence import ReadingFacts, RunFacts
from engines.models import Engine, Run, RunCorrection
from engines.queries import engine_times
from inspections.actions import finding_add
from inspections.closing import Closing
from inspections.history import repeat_counts
from inspections.models import Inspection, Judgement, Release
from logbook.actions import inspection_sign, run_enter
from logbook.corrections import Correcting, inspection_corrected, run_corrected, run_voided
from logbook.ledger.answers import entry_state
from logbook.maintenance.rules import rules_choose
from logbook.models import Entry, Person, Unsigned
from tests.factories import STARTED_AT
from tests.signed import run_signed, signing_of

WHY = "A digit was lost in copying."
HOT = ReadingFacts("ITT, running", 770.0, 20.0)
AREA_A = ReadingFacts("ITT, running", 715.0, 90.0)
MILD = ReadingFacts("ITT, running", 705.0, 2.0)


def stated(*readings: ReadingFacts, **changes: Any) -> RunFacts:
    """Return what a person states of a run."""
    facts = {"kind": Run.Kind.GROUND_RUN, "started_at": STARTED_AT, "typed_run_time_s": 1440, "typed_starts": 1}
    return RunFacts(**{"id": Run().pk, **facts, **changes}, readings=readings)


def signed(engine: Engine, by: Person, facts: RunFacts) -> Run:
    """Record a run and sign it."""
    run = run_enter(engine=engine, facts=facts, by=by)
    run_signed(run, by)
    return Run.objects.get(pk=run.pk)


def correcting(by: Person, why: str = WHY) -> Correcting:
    return Correcting(by, why, signing_of(by))


def corrected(run: Run, by: Person, facts: RunFacts) -> Entry:
    return run_corrected(run=Run.objects.get(pk=run.pk), facts=facts, correcting=correcting(by))


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a signed run with a reading that calls for an inspection."""
    return signed(engine, mechanic, stated(HOT))


def test_r_cor_2_a_correction_says_who_when_and_why_and_is_signed(run: Run, mechanic: Person) -> None:
    """R-COR-2: who, when, why; a new signature."""
    entry = corrected(run, mechanic, stated(HOT, typed_run_time_s=14400))
    first = Entry.objects.get(number=1)
    correction = entry.body["correction"]
    assert (correction["of"], correction["of_hash"], correction["how"]) == (1, first.leaf_hash, "superseded")
    assert correction["why"] == WHY
    assert correction["changes"] == [
        {"what": "Run time, as written down", "was": "0.40 h", "is": "4.00 h"},
        {"what": "Run time, as counted", "was": "0.40 h", "is": "4.00 h"},
    ]
    assert (entry.body["signed"]["name"], entry.kind, entry.run_id) == (str(mechanic), "exceedance", run.pk)
    assert "as it is corrected here" in entry.body["signed"]["meaning"]
    made = RunCorrection.objects.get()
    assert (made.by_id, made.why, made.at.date()) == (mechanic.pk, WHY, entry.signed_at.date())


def test_r_cor_3_both_are_linked_and_the_earlier_signature_no_longer_stands(run: Run, mechanic: Person) -> None:
    """R-COR-3: linked in both directions; correcting again corrects the correction."""
    second = corrected(run, mechanic, stated(HOT, typed_starts=2))
    third = corrected(run, mechanic, stated(HOT, typed_starts=3))
    first = Entry.objects.get(number=1)
    assert (second.corrects, first.corrected_by) == (first, second)
    assert (third.corrects, second.corrected_by) == (second, third)
    assert [entry_state(entry) for entry in (first, second, third)] == ["superseded", "superseded", "current"]
    assert first.body["run"]["typed"]["starts"] == 1


def test_r_cor_4_only_who_recorded_it_or_the_director_corrects(run: Run, inspector: Person, director: Person) -> None:
    """R-COR-4: amendments only by authorised personnel."""
    with pytest.raises(DomainError) as caught:
        corrected(run, inspector, stated(HOT, typed_starts=2))
    assert caught.value.code == "not_yours"
    assert (Entry.objects.count(), RunCorrection.objects.count(), Run.objects.get().starts) == (1, 0, 1)
    assert corrected(run, director, stated(HOT, typed_starts=2)).body["signed"]["name"] == str(director)


def test_r_cor_2_a_certificate_that_has_ended_corrects_nothing(run: Run, mechanic: Person) -> None:
    """R-COR-2: by a person entitled to sign the original kind."""
    mechanic.certificates.update(valid_until=STARTED_AT.date())
    with pytest.raises(DomainError) as caught:
        corrected(run, mechanic, stated(HOT, typed_starts=2))
    assert (caught.value.code, Run.objects.get().starts) == ("certificate_not_valid", 1)


def test_r_cor_1_the_run_is_judged_again_beside_its_judgement(run: Run, mechanic: Person) -> None:
    """R-COR-1: the earlier judgement stays, what it opened stays open, what is more severe is opened."""
    opened = run.inspections.get()
    corrected(run, mechanic, stated(MILD))
    judgements = list(Judgement.objects.filter(run=run).order_by("pk"))
    assert [judgement.is_current for judgement in judgements] == [False, True]
    assert judgements[0].verdict["excursions"][0]["peak"] == 770.0
    assert judgements[1].verdict["excursions"][0]["peak"] == 705.0
    opened.refresh_from_db()
    assert opened.state == "open"
    other = signed(run.engine, mechanic, stated(AREA_A))
    assert [row.rule for row in other.inspections.all()] == ["area A"]
    corrected(other, mechanic, stated(HOT))
    assert [row.rule for row in other.inspections.order_by("number")] == ["area A", "area B"]


def test_r_cor_6_times_and_counts_follow(engine: Engine, run: Run, mechanic: Person) -> None:
    """R-COR-6: times that changed by correction are re-derived everywhere."""
    charts = run.judgements.get().revision.data.charts
    chart = next(chart for chart in charts if chart.name == "ITT, running")
    assert [float(count.counted) for count in repeat_counts(engine, chart)] == [1]
    corrected(run, mechanic, stated(MILD, typed_run_time_s=3600))
    assert engine_times(engine).run_time_s == 3600
    assert [float(count.counted) for count in repeat_counts(engine, chart)] == [0]
    later = signed(engine, mechanic, stated(started_at=STARTED_AT + timedelta(days=1)))
    assert later.entries.get().body["times"]["run_time_s"] == 3600 + 1440
    corrected(run, mechanic, stated(AREA_A))
    assert [float(count.counted) for count in repeat_counts(engine, chart)] == [1]


def test_r_cor_6_a_correction_ten_years_back_asks_no_more_of_a_long_record(engine: Engine, mechanic: Person) -> None:
    """R-COR-6: only what a correction touches is worked out anew."""
    run = signed(engine, mechanic, stated(started_at=STARTED_AT - timedelta(days=3652)))
    costs = []
    for many, typed in ((1, 1500), (12, 1600)):
        for _ in range(many):
            signed(engine, mechanic, stated(started_at=STARTED_AT))
        facts = stated(started_at=run.started_at, typed_run_time_s=typed)
        with CaptureQueriesContext(connection) as asked:
            corrected(run, mechanic, facts)
        written = [q["sql"] for q in asked if q["sql"].startswith(("INSERT", "UPDATE"))]
        costs.append([sql.split(" SET ")[0].split(" (")[0] for sql in written if "ledgernode" not in sql])
    assert costs[0] == costs[1]
    assert not [line for line in costs[1] if "judgement" in line and costs[1].count(line) > 2]


def test_a_void_run_counts_nothing_and_its_inspections_are_for_a_person(run: Run, mechanic: Person) -> None:
    entry = run_voided(run=run, correcting=correcting(mechanic, "It was TB-0002 that ran."))
    assert entry_state(Entry.objects.get(number=1)) == "void"
    assert (entry.body["correction"]["how"], entry_state(entry)) == ("void", "current")
    assert entry.body["sentences"] == ["Void: this run never took place on this engine. It counts nothing."]
    assert "never took place" in entry.body["signed"]["meaning"]
    assert engine_times(run.engine).run_time_s == 0
    standing = Judgement.objects.get(run=run, is_current=True)
    assert standing.verdict["excursions"] == []
    assert Inspection.objects.get(run=run).state == "open"
    with pytest.raises(DomainError) as caught:
        corrected(run, mechanic, stated(typed_starts=2))
    assert caught.value.code == "run_void"


def test_a_run_is_put_right_before_anybody_signed_it(engine: Engine, mechanic: Person) -> None:
    run = run_enter(engine=engine, facts=stated(), by=mechanic)
    entry = corrected(run, mechanic, stated(typed_starts=2))
    assert (entry.corrects, entry.body["correction"]["of"], entry.body["correction"]["changes"]) == (None, None, [])
    assert not Unsigned.objects.exists()


def test_what_was_read_must_be_what_is_signed_and_nothing_is_half_stored(run: Run, mechanic: Person) -> None:
    other = dataclasses.replace(correcting(mechanic), read="0" * 64)
    with pytest.raises(DomainError) as caught:
        run_corrected(run=run, facts=stated(HOT, typed_starts=2), correcting=other)
    assert caught.value.code == "text_changed"
    run = Run.objects.get()
    assert (run.starts, run.correction, run.judgements.count(), Entry.objects.count()) == (1, 0, 1, 1)


@pytest.fixture
def ended(run: Run, mechanic: Person) -> Entry:
    """Return the entry of an inspection that was not approved."""
    inspection = run.inspections.get()
    finding_add(inspection=inspection, text="Blade 3 is burnt", by=mechanic)
    return inspection_sign(
        inspection=inspection,
        by=mechanic,
        signing=signing_of(mechanic),
        outcome="not_approved",
        extent="Borescope of the turbine.",
        completed_on=STARTED_AT.date(),
        given_to="Test Owner",
    )


def closing(by: Person, **changes: Any) -> Closing:
    """Return what is stated of the inspection, by a person's certificate."""
    certificate = by.certificates.get()
    said = {
        "outcome": "not_approved",
        "extent": "Borescope of the turbine.",
        "completed_on": STARTED_AT.date(),
        "given_to": "Test Owner",
        "certificate_kind": certificate.kind,
        "certificate_number": certificate.number,
        "signed_name": str(by),
    }
    return Closing(**{**said, **changes})


def test_r_cor_1_an_inspections_entry_is_corrected_beside_itself(ended: Entry, mechanic: Person) -> None:
    """R-COR-1 to R-COR-3, of an inspection."""
    day = STARTED_AT.date() + timedelta(days=1)
    said = closing(mechanic, extent="Borescope of both stages.", completed_on=day)
    entry = inspection_corrected(entry=ended, closing=said, correcting=correcting(mechanic))
    assert (entry.corrects, entry.completed_on, entry.inspection_id) == (ended, day, ended.inspection_id)
    assert [line["what"] for line in entry.body["correction"]["changes"]] == [
        "Work completed on",
        "Extent",
        "Statement",
    ]
    assert f"dated {day}" in entry.body["signed"]["meaning"]
    assert entry.body["findings"] == ended.body["findings"]
    old, new = Release.objects.order_by("pk")
    assert (new.corrects, old.extent, new.extent) == (old, "Borescope of the turbine.", "Borescope of both stages.")
    with pytest.raises(DomainError) as caught:
        inspection_corrected(entry=ended, closing=said, correcting=correcting(mechanic))
    assert caught.value.code == "corrected_before"


@pytest.mark.parametrize(
    ("changes", "why", "code"),
    [
        ({"extent": "Both stages."}, " ", "text_missing"),
        ({}, WHY, "nothing_changed"),
        ({"outcome": "approved"}, WHY, "outcome_stays"),
        ({"extent": " "}, WHY, "closing_refused"),
        ({"completed_on": STARTED_AT.date() - timedelta(days=1)}, WHY, "closing_refused"),
        ({"given_to": ""}, WHY, "closing_refused"),
    ],
)
def test_what_an_inspections_correction_can_not_be(
    ended: Entry, mechanic: Person, *, changes: dict[str, Any], why: str, code: str
) -> None:
    with pytest.raises(DomainError) as caught:
        inspection_corrected(entry=ended, closing=closing(mechanic, **changes), correcting=correcting(mechanic, why))
    assert caught.value.code == code
    assert (Release.objects.count(), Entry.objects.count()) == (1, 2)


def test_r_cor_4_another_person_corrects_no_inspection(ended: Entry, inspector: Person, run: Run) -> None:
    """R-COR-4: nor is a run's entry corrected by the sheet of an inspection."""
    said = closing(inspector, extent="Both stages.")
    for entry, code in ((ended, "not_yours"), (run.entries.get(number=1), "not_correctable")):
        with pytest.raises(DomainError) as caught:
            inspection_corrected(entry=entry, closing=said, correcting=correcting(inspector))
        assert caught.value.code == code


def test_r_cor_7_a_corrected_reading_is_the_value_that_was_read(run: Run, mechanic: Person) -> None:
    """R-COR-7: the actual measured value, never a verdict in its place."""
    entry = corrected(run, mechanic, stated(MILD))
    (reading,) = entry.body["evidence"]
    assert (reading["peak"], reading["seconds"]) == (705.0, 2.0)


def test_r_cor_2_whose_certificate_does_not_cover_it_corrects_nothing(
    ended: Entry, mechanic: Person, director: Person
) -> None:
    """R-COR-2: entitled to sign the original kind, by the rules that the operator works to now."""
    rules_choose(by=director, ruleset="us")
    said = closing(mechanic, extent="Both stages.")
    with pytest.raises(DomainError) as caught:
        inspection_corrected(entry=ended, closing=said, correcting=correcting(mechanic))
    assert (caught.value.code, Release.objects.count()) == ("certificate_does_not_cover", 1)
    mechanic.certificates.update(covers=["powerplant"])
    entry = inspection_corrected(entry=ended, closing=said, correcting=correcting(mechanic))
    assert entry.body["release"]["extent"] == "Both stages."
    assert entry.body["signed"]["meaning"] == entry.body["release"]["statement"]


def test_whoever_gave_the_second_look_corrects_no_required_item(ended: Entry, director: Person) -> None:
    Inspection.objects.filter(pk=ended.inspection_id or 0).update(second_by=director)
    with pytest.raises(DomainError) as caught:
        inspection_corrected(
            entry=ended, closing=closing(director, extent="Both stages."), correcting=correcting(director)
        )
    assert caught.value.code == "second_person_needed"

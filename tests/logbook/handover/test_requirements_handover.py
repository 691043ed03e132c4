"""What is asked of records that go to another owner, and of those that come back, each by its number."""

import dataclasses
import datetime
import hashlib
import json
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import LazySettings
from django.utils import timezone

from engines.actions import part_fit, part_remove
from engines.errors import DomainError
from engines.evidence import RunFacts
from engines.models import Component, Engine, Run
from engines.part_queries import component_times, components_on, fitted_at, off_since
from engines.queries import engine_times
from engines.times import Times
from logbook.actions import run_enter
from logbook.handover import jobs
from logbook.handover.errors import PackageError
from logbook.handover.giving import MEANING, handover_of, handover_sign, handover_void_sign
from logbook.handover.words import CUSTODY, FORMS, PACKED_AND_PRINTED, WORK_KEPT, handed_rows
from logbook.ledger.check_package import check
from logbook.ledger.checking import ledger_check
from logbook.ledger.keys import key_name, key_path, ledger_key
from logbook.ledger.notes import vkey_encode
from logbook.ledger.store import checkpoint_make
from logbook.maintenance.sections import sections_of
from logbook.models import Entry, Person
from logbook.printing.retention import keep_of
from tests.factories import STARTED_AT, CertificateFactory, ComponentFactory
from tests.logbook.handover.owners import GIVING, handed, packed_job, taken
from tests.logbook.handover.records import recorded
from tests.signed import run_signed, signing_of

DAY = datetime.timedelta(days=1)


@pytest.fixture(autouse=True)
def folder(settings: LazySettings, tmp_path: Path) -> None:
    """Keep packages apart."""
    settings.PACKAGES_DIR = tmp_path / "packages"


@pytest.fixture
def record(engine: Engine, mechanic: Person) -> Engine:
    """Return an engine with a whole record."""
    recorded(engine, mechanic)
    return engine


@pytest.fixture
def farholm(stranger: Person) -> Person:
    """Return the director of another owner."""
    if not stranger.certificates.exists():
        CertificateFactory.create(person=stranger)
    return stranger


def flown(engine: Engine, by: Person, days: float | None, **typed: Any) -> Run:
    """Record and sign one more run, just now or so many days after the first."""
    at = timezone.now() if days is None else STARTED_AT + days * DAY
    facts = RunFacts(Run().pk, Run.Kind.FLIGHT, at, typed_starts=1, typed_cycles=1, **typed)
    run = run_enter(engine=engine, facts=facts, by=by)
    run_signed(run, by)
    return run


def refused(code: str, act: Any, *args: Any, **kwargs: Any) -> DomainError:
    """Expect a refusal of that code."""
    with pytest.raises(DomainError) as caught:
        act(*args, **kwargs)
    assert caught.value.code == code
    return caught.value


def test_r_91_419_what_is_handed_to_whom_when_at_which_times_in_what_form_and_who_keeps_it(
    record: Engine, director: Person
) -> None:
    times = engine_times(record)
    entry, data = handed(director, engine=record)
    assert (entry.kind, entry.engine, entry.completed_on) == ("handover", record, GIVING.on)
    assert entry.body["times"] == vars(times)
    ((title, rows),) = [(section.title, dict(section.rows)) for section in sections_of(entry.body)]
    assert title == "Record handed over"
    assert rows["Handed over to"] == "Farholm Air"
    assert rows["On"] == "2026-05-20"
    assert rows["Custody of the records"] == CUSTODY["all_go"]
    assert rows["Form"] == FORMS["packed"]
    assert rows["Available for inspection"] == "Hangar 2, Farholm; records office"
    assert rows["Package, SHA-256"] == hashlib.sha256(data).hexdigest()
    with zipfile.ZipFile(BytesIO(data)) as archive:
        assert rows["Its list of files, SHA-256"] == hashlib.sha256(archive.read("manifest.json")).hexdigest()
        assert rows["Seal over that list"] in archive.read("seal.txt").decode()
        assert rows["Ledger when it was packed"].endswith(
            json.loads(archive.read("receipt.json"))["checkpoint"]["root"]
        )
    assert entry.body["signed"]["meaning"] == MEANING
    assert ledger_check(entry.operator).size == entry.number


def test_r_91_419_b_who_keeps_the_records_of_work_was_agreed_with_somebody(record: Engine, director: Person) -> None:
    job = packed_job(director, engine=record)
    kept = dataclasses.replace(GIVING, custody=WORK_KEPT, form=PACKED_AND_PRINTED)
    said: Any = {"job": job, "by": director, "signing": signing_of(director, MEANING)}
    assert "agreed_by" in refused("text_missing", handover_sign, giving=kept, **said).fields
    assert (
        "available"
        in refused("text_missing", handover_sign, giving=dataclasses.replace(GIVING, available=" "), **said).fields
    )
    agreed = dataclasses.replace(kept, agreed_by="Test Buyer", remarks="Log books of paper too")
    rows = dict(handed_rows(handover_sign(job=job, giving=agreed, by=director, signing=said["signing"]).body["handed"]))
    assert rows["Agreed by, for the new owner"] == "Test Buyer"
    assert "the new owner still answers for making them available" in rows["Custody of the records"]
    assert (rows["Form"], rows["Remarks"]) == (FORMS[PACKED_AND_PRINTED], "Log books of paper too")


def test_r_91_417_b_2_the_entry_is_kept_with_the_status_records(record: Engine, director: Person) -> None:
    entry, _ = handed(director, engine=record)
    assert keep_of(entry.body).startswith("as your authority asks")
    assert "with the aircraft" in keep_of({**entry.body, "release": {"ruleset": "us"}})


def test_r_91_419_the_package_holds_all_that_was_signed(record: Engine, director: Person, mechanic: Person) -> None:
    job = packed_job(director, engine=record)
    said: Any = {"job": job, "giving": GIVING, "by": director, "signing": signing_of(director, MEANING)}
    run = run_enter(engine=record, facts=RunFacts(Run().pk, Run.Kind.FLIGHT, STARTED_AT + DAY), by=mechanic)
    refused("unsigned_left", handover_sign, **said)
    run_signed(run, mechanic)
    assert "was signed after it was packed" in refused("package_outdated", handover_sign, **said).message
    job.file.unlink()
    refused("package_gone", handover_sign, **said)
    job.file.write_bytes(b"no package")
    refused("package_gone", handover_sign, **said)


def test_nothing_more_is_recorded_of_what_was_handed_over(record: Engine, director: Person, mechanic: Person) -> None:
    (part,) = components_on(record)
    handed(director, engine=record)
    record.refresh_from_db()
    assert (record.left_to, fitted_at(part), off_since(part).place) == ("Farholm Air", None, "Farholm Air")
    facts = RunFacts(Run().pk, Run.Kind.FLIGHT, STARTED_AT + DAY)
    refused("engine_left", run_enter, engine=record, facts=facts, by=mechanic)
    other = ComponentFactory.create(operator=record.operator)
    refused("engine_left", part_fit, component=other, engine=record, at=STARTED_AT, by=mechanic)
    refused("engine_left", jobs.job_add, person=director, engine=record)


def test_r_cor_1_a_hand_over_that_came_to_nothing_is_void_and_stays_readable(
    record: Engine, director: Person, mechanic: Person
) -> None:
    (part,) = components_on(record)
    before = component_times(part)
    entry, _ = handed(director, engine=record)
    said: Any = {"entry": entry, "by": director, "signing": signing_of(director)}
    refused("text_missing", handover_void_sign, why=" ", **said)
    void = handover_void_sign(why="The sale fell through", **said)
    entry = Entry.objects.get(pk=entry.pk)
    assert (void.corrects, void.body["correction"]["how"], entry.corrected_by) == (entry, "void", void)
    assert handover_of(record, None) is None
    record.refresh_from_db()
    assert (record.left_at, list(components_on(record)), component_times(part)) == (None, [part], before)
    flown(record, mechanic, 1)
    refused("corrected_before", handover_void_sign, why="Again", **(said | {"entry": entry}))
    refused("not_correctable", handover_void_sign, why="x", **(said | {"entry": void}))
    handed(director, engine=record)


def test_an_engine_comes_back_with_its_history_and_what_it_used_since(
    record: Engine, director: Person, farholm: Person
) -> None:
    (part,) = components_on(record)
    used = component_times(part)
    entry, first = handed(director, engine=record)
    away = taken(first, farholm).engine
    assert away is not None
    flown(away, farholm, None, typed_run_time_s=7200)
    _, second = handed(farholm, giving=dataclasses.replace(GIVING, to="Testholm Flying Service"), engine=away)
    package = taken(second, director)
    back = package.engine
    assert back is not None
    assert (back.operator, back.serial, back.pk != record.pk) == (record.operator, record.serial, True)
    assert engine_times(back) == engine_times(away) == engine_times(record) + Times(7200, 0, 1, 1)
    assert back.runs.count() == record.runs.count() + 1
    (returned,) = components_on(back)
    assert returned == part
    assert component_times(returned) == used + Times(7200, 0, 1, 1)
    assert [line.kind for line in part.movements.all()] == ["fitted", "left", "returned", "fitted"]
    told = package.entry.body["received"]["returns"]
    assert told == {"entry": entry.number, "to": "Farholm Air", "on": "2026-05-20", "is_in_it": True}
    assert package.entry.body["received"]["parts_back"] == [str(part)]
    # What was signed here before, as it lies in what came back, still stands in the ledger of here.
    inner = package.inner.get()
    own = Entry.objects.filter(engine=record, number__lte=inner.size).order_by("number")
    assert [one.leaf_hash for one in inner.entries.order_by("number")] == [one.leaf_hash for one in own]
    assert all(one.holds for one in (*package.entries.all(), *inner.entries.all()))
    assert ledger_check(record.operator).size == package.entry.number


def test_a_record_goes_round_twice(record: Engine, director: Person, farholm: Person) -> None:
    for by, other in ((director, farholm), (farholm, director)) * 2:
        engine = by.operator.engines.get(left_at=None)
        to = dataclasses.replace(GIVING, to=other.operator.name)
        arrived = taken(handed(by, giving=to, engine=engine)[1], other).engine
        assert arrived is not None
        assert engine_times(arrived) == engine_times(engine)
        part = components_on(arrived).get()
        assert component_times(part).run_time_s == 3600 + engine_times(engine).run_time_s
    assert director.operator.engines.count() == 3
    assert farholm.operator.engines.count() == 2
    for by in (director, farholm):
        ledger_check(by.operator)


def test_what_never_went_does_not_come_back(record: Engine, director: Person, farholm: Person) -> None:
    job = packed_job(director, engine=record)
    away = taken(job.file.read_bytes(), farholm).engine
    _, second = handed(farholm, engine=away)
    assert "which was not handed over" in refused("serial_taken", taken, second, director).message


def test_it_does_not_come_back_with_less_than_it_went_with(
    record: Engine, director: Person, mechanic: Person, farholm: Person
) -> None:
    early = packed_job(director, engine=record).file.read_bytes()
    flown(record, mechanic, 1, typed_run_time_s=60)
    handed(director, engine=record)
    away = taken(early, farholm).engine
    _, second = handed(farholm, engine=away)
    with pytest.raises(PackageError, match="It went with more than it comes back with: run_time_s, starts, cycles"):
        taken(second, director)


def test_a_hand_over_is_not_void_once_it_came_back(record: Engine, director: Person, farholm: Person) -> None:
    entry, first = handed(director, engine=record)
    away = taken(first, farholm).engine
    taken(handed(farholm, engine=away)[1], director)
    said: Any = {"entry": entry, "why": "x", "by": director, "signing": signing_of(director)}
    refused("serial_taken", handover_void_sign, **said)


def test_r_91_419_a_part_is_handed_over_with_those_that_sit_in_it_and_comes_back(
    engine: Engine, director: Person, farholm: Person, mechanic: Person
) -> None:
    from logbook.part_acts import CONFIRMS, part_add_sign

    facts: dict[str, Any] = {"part_number": "M-1", "serial": "7", "brought_cycles": 40, "opening_basis": "Log card"}
    part_add_sign(by=mechanic, signing=signing_of(mechanic, CONFIRMS), **facts)
    module = Component.objects.get(serial="7")
    blade = ComponentFactory.create(operator=engine.operator, part_number="B-1", brought_cycles=3)
    part_fit(component=blade, parent=module, position="blades", at=STARTED_AT, by=mechanic)
    part_fit(component=module, engine=engine, at=STARTED_AT, by=mechanic)
    said: Any = {"giving": GIVING, "component": module}
    refused("already_fitted", handed, director, **said)
    part_remove(component=module, at=STARTED_AT + DAY, by=mechanic)
    entry, data = handed(director, **said)
    assert (entry.component, entry.engine) == (module, None)
    assert ["Handed over to", "Farholm Air"] in entry.body["part"]
    assert [off_since(one).place for one in (module, blade)] == ["Farholm Air"] * 2
    void = handover_void_sign(entry=entry, why="Not paid", by=director, signing=signing_of(director))
    assert (void.component, fitted_at(blade).parent) == (module, module)
    _, data = handed(director, **said)
    there = taken(data, farholm).component
    assert there is not None
    back = taken(handed(farholm, component=there)[1], director)
    assert back.component == module
    assert [component_times(one).cycles for one in (module, blade)] == [40, 3]
    assert [one.movements.latest("pk").kind for one in (module, blade)] == ["returned", "fitted"]
    assert back.entry.body["received"]["returns"]["is_in_it"]


def test_a_checkpoint_kept_before_the_ledger_got_another_key_still_holds(record: Engine, director: Person) -> None:
    kept = checkpoint_make(record.operator)
    assert kept is not None
    earlier = ledger_key(record.operator)
    key_path(record.operator).unlink()
    data = packed_job(director, engine=record).file.read_bytes()
    point = check(BytesIO(data), older=kept.note.encode())[1]
    assert point.size >= kept.size
    with zipfile.ZipFile(BytesIO(data)) as archive:
        manifest = json.loads(archive.read("manifest.json"))
    name = key_name(record.operator)
    assert manifest["earlier_keys"] == [vkey_encode(name, earlier.public_key().public_bytes_raw())]
    assert manifest["key"] not in manifest["earlier_keys"]

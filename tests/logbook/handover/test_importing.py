"""A record handed over from one operator to another, in one database."""

import hashlib
import json
import subprocess
import sys
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.files.storage import storages
from django.db import DatabaseError, connection, models, transaction

from engines.actions import LimitFacts, limit_add, part_done_add, task_add
from engines.errors import DomainError
from engines.models import Component, Engine, Operator, Run, RunTrace, Task, TaskRecord, TraceExtreme
from engines.part_queries import components_on, histories_of, limits_of, statuses_of
from engines.queries import engine_times, recording_of
from inspections.models import Exceedance, Inspection, Judgement
from logbook.engine_papers.status import _basis
from logbook.handover.errors import PackageError
from logbook.handover.importing import package_import, package_look
from logbook.ledger.canonical import canonical
from logbook.ledger.check_package import SEALS
from logbook.ledger.keys import key_name, ledger_key
from logbook.ledger.notes import note_sign
from logbook.maintenance.sections import sections_of
from logbook.models import Discrepancy, DiscrepancyLine, Entry, Person, ReceivedEntry, ReceivedPackage
from tests.built import Things, built_once, own
from tests.factories import STARTED_AT, CertificateFactory, ComponentFactory, OperatorFactory, PersonFactory
from tests.logbook.handover.records import packed_of, record_stored
from tests.logbook.ledger.packages import repacked
from tests.signed import signing_of


def packed_stored() -> Things:
    """Store an engine with a whole record, and return it with its package."""
    stored = record_stored()
    return {**stored, "data": packed_of(stored["engine"], stored["director"])}


built = built_once(packed_stored)
operator, engine, mechanic, director, data = map(own, ("operator", "engine", "mechanic", "director", "data"))


def taken(data: bytes, by: Person) -> ReceivedPackage:
    """Take a package in."""
    return package_import(BytesIO(data), operator=by.operator, by=by, signing=signing_of(by, "Taken in"))


def counts() -> dict[str, int]:
    """Return how many rows there are of everything."""
    return {model.__name__: model._default_manager.count() for model in apps.get_models()}


def files() -> set[str]:
    """Return the files that are kept."""
    root = Path(storages["traces"].path(""))
    return {str(path) for path in root.rglob("*") if path.is_file()}


def told(engine: Engine, model: type[models.Model], path: str, *names: str) -> list[str]:
    """Return some facts of the rows that go with an engine, people by their names."""
    rows = model._default_manager.filter(**{path: engine})
    facts = [json.loads(json.dumps([getattr(row, name) for name in names], default=str)) for row in rows]
    return sorted(canonical({"facts": row}) for row in facts)


def test_a_record_arrives_whole(engine: Engine, data: bytes, stranger: Person) -> None:
    package = taken(data, stranger)
    arrived = package.engine
    assert arrived is not None
    assert arrived.operator == stranger.operator
    assert arrived.engine_type.operator == stranger.operator
    assert engine_times(arrived) == engine_times(engine)
    for model, path, *names in (
        (Run, "engine", "kind", "started_at", "recorded_by", "recorded_at", "remarks", "used", "timed", "typed_starts"),
        (RunTrace, "run__engine", "original_name", "original_sha256", "samples", "matches", "recorded_at"),
        (TraceExtreme, "trace__run__engine", "channel", "regime", "lowest", "highest"),
        (Judgement, "run__engine", "verdict", "is_current", "judged_at", "repeat_seconds"),
        (Exceedance, "engine", "chart", "start_s", "end_s", "peak", "area", "area_possible", "levels"),
        (Inspection, "engine", "chart", "rule", "ordinal", "summary", "state", "opened_at", "source"),
    ):
        assert told(arrived, model, path, *names) == told(engine, model, path, *names) != []
    own, other = (RunTrace.objects.get(run__engine=one) for one in (engine, arrived))
    assert recording_of(other).trace.times.tolist() == recording_of(own).trace.times.tolist()
    assert recording_of(other).matches == recording_of(own).matches
    with other.original.open() as file:
        assert hashlib.sha256(file.read()).hexdigest() == own.original_sha256


def test_a_part_comes_with_what_it_had_used(engine: Engine, data: bytes, stranger: Person) -> None:
    arrived = taken(data, stranger).engine
    (before,), (after,) = list(components_on(engine)), list(components_on(arrived))
    assert after.operator == stranger.operator
    assert (after.serial, histories_of([after])[after.pk].used) == (
        before.serial,
        histories_of([before])[before.pk].used,
    )
    assert after.opening_basis.startswith("As handed over by Testholm Flying Service on 20")


def test_what_stands_open_is_opened_again(
    engine: Engine, data: bytes, director: Person, mechanic: Person, stranger: Person
) -> None:
    entry = Entry.objects.filter(engine=engine).latest("number")
    for number, state in enumerate(("open", "closed", "deferred"), 1):
        about = {"operator": engine.operator, "engine": engine, "entry": entry, "number": number}
        row = Discrepancy.objects.create(text=f"Nick {number}", basis="invented manual 72-00", **about)
        DiscrepancyLine.objects.create(discrepancy=row, entry=entry, state=state, placard_by="Test")
    package = taken(packed_of(engine, director), stranger)
    opened = Discrepancy.objects.filter(engine=package.engine).order_by("number")
    stands = [(one.number, one.text, one.lines.get().state, one.entry) for one in opened]
    assert stands == [(1, "Nick 1", "open", package.entry), (2, "Nick 3", "deferred", package.entry)]


def test_limits_and_tasks_come_along(engine: Engine, data: bytes, director: Person, stranger: Person) -> None:
    (part,) = components_on(engine)
    named = {"operator": engine.operator, "part_number": part.part_number}
    facts = LimitFacts(100, "count", "Invented chapter 5", "3")
    limit = limit_add(**named, kind="inspection", parameter="starts", facts=facts, by=director)
    part_done_add(component=part, limit=limit, at=STARTED_AT, reference="invented manual 72-00", by=director)
    directive = {"name": "Disc", "kind": "other", "mandatory": False, "repeat": {"days": 30}}
    task_add(engine=engine, document=directive, begins_on=STARTED_AT.date(), by=director)
    arrived = taken(packed_of(engine, director), stranger).engine
    assert [task.document for task in Task.objects.filter(engine=arrived)] == [directive]
    assert [record.name for record in TaskRecord.objects.filter(engine=arrived)] == ["Disc"]
    (came,) = components_on(arrived)
    (own,) = limits_of(came)
    assert (own.operator, own.serial, own.amount, own.source) == (stranger.operator, came.serial, 100, limit.source)
    today = STARTED_AT.date()
    left, before = (statuses_of([one], today)[one.pk].nearest for one in (came, part))
    assert left.used == before.used


def test_the_origins_entries_stay_provable(engine: Engine, data: bytes, stranger: Person) -> None:
    package = taken(data, stranger)
    signed = Entry.objects.filter(engine=engine).order_by("number")
    received = list(package.entries.order_by("number"))
    assert [one.document.encode() for one in received] == [one.document for one in signed]
    assert [one.leaf_hash for one in received] == [one.leaf_hash for one in signed]
    assert all(one.holds for one in received)
    received[0].document = received[0].document.replace("Flight", "flight")
    assert not received[0].holds
    with package.file.open() as file:
        assert package_look(file).sha256 == package.sha256 == hashlib.sha256(data).hexdigest()


def test_what_was_received_cannot_be_changed(data: bytes, stranger: Person) -> None:
    package = taken(data, stranger)
    for row in (package, package.entries.earliest("number")):
        with pytest.raises(TypeError, match="only ever added"):
            row.save()
        table = row._meta.db_table
        for statement in (f"UPDATE {table} SET id = id", f"DELETE FROM {table}"):
            with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
                cursor.execute(statement)


def test_the_receiver_signs_that_it_was_taken_in(data: bytes, stranger: Person) -> None:
    package = taken(data, stranger)
    entry = package.entry
    assert (entry.kind, entry.operator, entry.number, entry.signed_by) == ("opening", stranger.operator, 1, stranger)
    assert entry.body["received"]["package_sha256"] == package.sha256
    assert entry.body["received"]["root"] == package.root
    assert entry.body["signed"]["meaning"] == "Taken in"
    (section,) = sections_of(entry.body)
    assert ("Package, SHA-256", package.sha256) in section.rows
    assert package.engine is not None
    (words,) = _basis(stranger, package.engine)
    assert words == "When the record here began: as handed over by Testholm Flying Service (entry 1)."


def test_the_origins_people_can_neither_sign_in_nor_be_seen(data: bytes, stranger: Person) -> None:
    before = set(Person.objects.values_list("pk", flat=True))
    taken(data, stranger)
    came = Person.objects.exclude(pk__in=before)
    assert came.exists()
    assert {(one.is_active, one.operator, one.has_usable_password()) for one in came} == {(False, None, False)}


def test_the_same_package_again_changes_nothing(data: bytes, stranger: Person) -> None:
    package = taken(data, stranger)
    before = counts(), files()
    assert taken(data, stranger) == package
    assert (counts(), files()) == before


def test_a_serial_that_is_in_use_is_refused(engine: Engine, data: bytes, director: Person, stranger: Person) -> None:
    before = counts(), files()
    with pytest.raises(DomainError, match="already an engine with serial TB-0001"):
        taken(data, director)
    part = Component.objects.get(operator=engine.operator)
    ComponentFactory.create(operator=stranger.operator, part_number=part.part_number, serial=part.serial)
    with pytest.raises(DomainError, match="already a part"):
        taken(data, stranger)
    assert files() == before[1]
    assert counts() == {**before[0], "Component": before[0]["Component"] + 1}


def test_limits_of_a_name_that_is_taken_keep_apart(engine: Engine, data: bytes, stranger: Person) -> None:
    name = engine.engine_type.name
    stranger.operator.engine_types.create(name=name)
    arrived = taken(data, stranger).engine
    assert arrived.engine_type.name == f"{name}, from Testholm Flying Service"
    assert stranger.operator.engine_types.count() == 2


# Thousands of times the same, which counting would make twice as slow.
@pytest.mark.one_database
@pytest.mark.no_cover
def test_every_changed_byte_is_refused(data: bytes, stranger: Person) -> None:
    changed = bytearray(data)
    before = counts(), files()
    for place in range(7, len(data), len(data) // 250):
        changed[place] ^= 1 << place % 8
        with pytest.raises(PackageError):
            taken(bytes(changed), stranger)
        changed[place] ^= 1 << place % 8
    assert (counts(), files()) == before


@pytest.mark.parametrize("at", [1, 3, 9, 20, 40, 50])
def test_an_end_in_the_midst_leaves_nothing(
    data: bytes, stranger: Person, monkeypatch: pytest.MonkeyPatch, at: int
) -> None:
    before = counts(), files()
    left = [at]
    whole = models.Model.save_base

    def ended(self: models.Model, *args: Any, **options: Any) -> None:
        left[0] -= 1
        if not left[0]:
            raise KeyboardInterrupt
        whole(self, *args, **options)

    with monkeypatch.context() as patch, pytest.raises(KeyboardInterrupt):
        patch.setattr(models.Model, "save_base", ended)
        taken(data, stranger)
    assert (counts(), files()) == before
    assert taken(data, stranger).engine is not None


def cut_off(engine: Engine) -> None:
    raise KeyboardInterrupt


def test_files_left_where_it_was_cut_off_are_written_anew(
    data: bytes, stranger: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = files()
    with monkeypatch.context() as patch, pytest.raises(KeyboardInterrupt):
        patch.setattr("logbook.handover.importing.usage_rebuild", cut_off)
        patch.setattr("django.core.files.storage.FileSystemStorage.delete", lambda storage, name: None)
        taken(data, stranger)
    left = files() - before
    taken(data, stranger)
    assert left < files() - before
    assert len(files() - before) == len(left) + 1


def test_a_record_goes_on_to_a_third_owner(data: bytes, stranger: Person, inspector: Person) -> None:
    second = taken(data, stranger)
    assert second.engine is not None
    onward = packed_of(second.engine, stranger)
    third = PersonFactory.create(operator=OperatorFactory.create(name="Nearholm Air"), role="director")
    CertificateFactory.create(person=third)
    package = taken(onward, third)
    inner = ReceivedPackage.objects.get(within=package)
    assert (inner.sha256, inner.owner, inner.engine) == (second.sha256, "Testholm Flying Service", package.engine)
    assert ReceivedEntry.objects.filter(package=inner).count() == second.entries.count()
    assert engine_times(package.engine) == engine_times(second.engine)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (b'"kind":"flight"', b'"kind":"flying"', "is not one of its choices"),
        (b'"typed_starts":1', b'"typed_starts":-1', "typed_starts"),
        (b'"people":[{"id":', b'"people":[{"id":9', "has no row or person"),
        (b'"cycles":1,', b'"cycles":2,', "do not add up"),
        (b'"tables":{', b'"tables":[{', "is not JSON"),
    ],
)
def test_a_record_that_was_sealed_as_it_cannot_be_is_refused(
    data: bytes, stranger: Person, old: bytes, new: bytes, words: str
) -> None:
    before = counts(), files()
    with pytest.raises(PackageError, match=words):
        taken(resealed(data, {"record.json": (old, new)}, stranger), stranger)
    assert (counts(), files()) == before


def resealed(data: bytes, changes: dict[str, tuple[bytes, bytes]], by: Person) -> bytes:
    """Return a package with changed files, sealed by somebody who has the operator's key."""
    with zipfile.ZipFile(BytesIO(data)) as archive:
        found = {name: archive.read(name) for name in archive.namelist()}
    manifest = json.loads(found["manifest.json"])
    for name, (old, new) in changes.items():
        assert old in found[name]
        found[name] = found[name].replace(old, new)
        listed = next(one for one in manifest["files"] if one["name"] == name)
        listed.update(size=len(found[name]), sha256=hashlib.sha256(found[name]).hexdigest())
    found["manifest.json"] = canonical(manifest).encode()
    owner = Operator.objects.get(name=manifest["operator"])
    text = f"{key_name(owner)}\n{SEALS}\n{hashlib.sha256(found['manifest.json']).hexdigest()}\n"
    found["seal.txt"] = note_sign(text, name=key_name(owner), key=ledger_key(owner)).encode()
    return repacked(found)


def test_the_verifier_in_the_package_passes_it(data: bytes, tmp_path: Path) -> None:
    with zipfile.ZipFile(BytesIO(data)) as archive:
        (tmp_path / "check.py").write_bytes(archive.read("check.py"))
    (tmp_path / "package.zip").write_bytes(data)
    done = subprocess.run(
        [sys.executable, "-I", "-S", "check.py", "package.zip"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith("Everything matches: engine TB-0001")


def test_samples_that_are_not_those_of_the_record_are_refused(data: bytes, stranger: Person) -> None:
    with pytest.raises(DomainError, match="There are 220 samples, and should be 219"):
        taken(resealed(data, {"record.json": (b'"samples":220', b'"samples":219')}, stranger), stranger)

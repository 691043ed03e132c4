"""Handing a record over from one command line to another."""

import io
import uuid
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from engines.evidence import RunFacts
from engines.models import Component, Engine, Run
from engines.part_queries import histories_of
from logbook.actions import run_enter
from logbook.ledger.check_package import check
from logbook.models import Entry, Person, ReceivedPackage
from tests.built import built_once, own
from tests.factories import STARTED_AT, PersonFactory
from tests.logbook.handover.records import record_stored
from tests.logbook.screen_kit import PASSWORD
from tests.signed import entry_made

built = built_once(record_stored)
operator, engine, mechanic, director = map(own, ("operator", "engine", "mechanic", "director"))


@pytest.fixture
def record(engine: Engine) -> Engine:
    """Return an engine with a whole record."""
    return engine


def exported(path: Path, *arguments: str) -> None:
    call_command(
        "package_export", *arguments, "--operator", "Testholm Flying Service", "-o", path, stderr=io.StringIO()
    )


def imported(path: Path, monkeypatch: pytest.MonkeyPatch, *, password: str = PASSWORD, **options: Any) -> str:
    out = io.StringIO()
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{password}\n"))
    call_command("package_import", path, **{"operator": "Farholm Air", "by": "stranger"} | options, stdout=out)
    return out.getvalue()


def test_a_record_goes_from_one_to_the_other(
    record: Engine, stranger: Person, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "package.zip"
    exported(path, record.serial)
    said = imported(path, monkeypatch)
    assert "engine TB-0001" in said
    assert "Taken in: entry 1 of Farholm Air says so." in said
    assert ReceivedPackage.objects.get().engine.serial == record.serial
    assert Entry.objects.get(operator=stranger.operator).body["signed"]["factor"].startswith("password")


def test_a_part_goes_alone(record: Engine, stranger: Person, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    part = Component.objects.get(operator=record.operator)
    entry = Entry.objects.filter(engine=record).first()
    assert entry is not None
    path = tmp_path / "part.zip"
    with pytest.raises(CommandError, match="no signed entry of it yet"):
        exported(path, part.serial, "--part-number", part.part_number)
    part_entry(part, entry)
    exported(path, part.serial, "--part-number", part.part_number)
    with path.open("rb") as file:
        assert check(file)[0]["about"] == {"kind": "part", "serial": part.serial, "part_number": part.part_number}
    imported(path, monkeypatch)
    arrived = Component.objects.get(operator=stranger.operator)
    assert histories_of([arrived])[arrived.pk].used == histories_of([part])[part.pk].used
    assert ReceivedPackage.objects.get().entries.get().body["title"] == "Part fitted"


def part_entry(part: Component, like: Entry) -> None:
    """Sign an entry about a part."""
    body = {**{name: like.body[name] for name in ("operator", "place", "is_demo", "times")}, "title": "Part fitted"}
    engine = like.engine
    assert engine is not None
    entry_made(engine, body, like.signed_by, like.completed_on, kind=Entry.Kind.PART_FITTED, component=part)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["TB-9999"], "has no engine with serial TB-9999"),
        (["P-1", "--part-number", "X"], "has no part X with serial P-1"),
        (["TB-0001", "--by", "nobody"], "has no person 'nobody'"),
    ],
)
def test_what_is_not_there_is_not_packed(record: Engine, tmp_path: Path, arguments: list[str], words: str) -> None:
    with pytest.raises(CommandError, match=words):
        exported(tmp_path / "package.zip", *arguments)
    with pytest.raises(CommandError, match="no operator named 'Nobody'"):
        call_command("package_export", "TB-0001", "--operator", "Nobody", "-o", tmp_path / "package.zip")
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_not_overwritten(record: Engine, tmp_path: Path) -> None:
    path = tmp_path / "package.zip"
    path.write_bytes(b"kept")
    with pytest.raises(CommandError, match="is there already"):
        exported(path, record.serial)
    assert path.read_bytes() == b"kept"


def test_what_fails_midway_leaves_no_file(record: Engine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def ended(*args: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("logbook.handover.export.log_of", ended)
    with pytest.raises(KeyboardInterrupt):
        exported(tmp_path / "package.zip", record.serial)
    assert list(tmp_path.iterdir()) == []


def test_runs_that_are_not_signed_hold_it_up(record: Engine, mechanic: Person, tmp_path: Path) -> None:
    run_enter(engine=record, facts=RunFacts(uuid.uuid4(), Run.Kind.FLIGHT, STARTED_AT), by=mechanic)
    with pytest.raises(CommandError, match="1 of its runs are not signed as they stand"):
        exported(tmp_path / "package.zip", record.serial)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "refused",
    [
        ({"password": "another"}, "is not the password of"),
        ({"by": "mechanic"}, "'mechanic' is no director"),
        ({"operator": "Nobody"}, "is no director of an operator named 'Nobody'"),
        ({"key": "other"}, "not with the key that you gave"),
    ],
)
def test_who_may_not_takes_nothing_in(
    record: Engine,
    stranger: Person,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    refused: tuple[dict[str, Any], str],
) -> None:
    path = tmp_path / "package.zip"
    exported(path, record.serial)
    PersonFactory.create(operator=stranger.operator, username="helper")
    options, words = refused
    with pytest.raises(CommandError, match=words):
        imported(path, monkeypatch, **options)
    assert not ReceivedPackage.objects.exists()

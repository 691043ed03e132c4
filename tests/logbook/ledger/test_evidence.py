"""What entries rest on: recorded files byte for byte, and what was stated of the runs."""

import io
import random
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import storages
from django.core.management import CommandError, call_command
from django.db import connection

from engines.models import Engine, Run, RunTrace
from inspections.models import Inspection
from logbook.actions import trace_enter
from logbook.ledger import evidence
from logbook.ledger.evidence import evidence_check
from logbook.ledger.guards import guards_lift, guards_set
from logbook.ledger.lots import LedgerBroken
from logbook.ledger.rows import Checkpoint
from logbook.models import Person
from tests.logbook.screen_kit import recording_csv, run_with_inspection
from tests.signed import run_signed

CHANGES = 4000


@pytest.fixture(autouse=True)
def trace_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Keep the traces of a test in a folder of its own, and return it."""
    for name in ("base_location", "location"):
        monkeypatch.setitem(vars(storages["traces"]), name, str(tmp_path / "traces"))
    return tmp_path / "traces"


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a signed run with a reading and a recorded file."""
    run = run_with_inspection(engine, mechanic)
    trace_enter(run=run, file=io.BytesIO(recording_csv()), name="run.csv", by=mechanic)
    run_signed(run, mechanic)
    return run


def fault_of(run: Run) -> str:
    """Return what the check says; nothing where all is whole."""
    try:
        evidence_check(run.operator)
    except LedgerBroken as error:
        return error.message
    return ""


def files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.is_file())


def test_files_are_counted_where_all_is_whole(run: Run) -> None:
    assert evidence_check(run.operator) == 1


def test_a_run_that_waits_to_be_signed_again_is_not_held_to_its_last_entry(run: Run, mechanic: Person) -> None:
    trace_enter(run=run, file=io.BytesIO(recording_csv(peak=650.0)), name="later.csv", by=mechanic)
    assert evidence_check(run.operator) == 2


# Thousands of times the same, which counting would make twice as slow.
@pytest.mark.one_database
@pytest.mark.no_cover
def test_any_single_byte_changed_in_a_file_is_found(run: Run, trace_folder: Path) -> None:
    draw = random.Random(6962)
    kept = {path: path.read_bytes() for path in files(trace_folder)}
    assert len(kept) == 2
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(evidence, "_newest_of_runs", lambda operator: iter(()))
        for path, content in kept.items():
            missed = [place for place in places(draw, content, CHANGES // 2) if not spoilt(run, path, content, place)]
            assert missed == []
            path.write_bytes(content)
    assert fault_of(run) == ""


def places(draw: random.Random, content: bytes, count: int) -> list[tuple[int, int]]:
    """Return where and by what some bytes are changed."""
    return [(draw.randrange(len(content)), draw.randrange(1, 256)) for _ in range(count)]


def spoilt(run: Run, path: Path, content: bytes, place: tuple[int, int]) -> str:
    """Return what the check says of a file with one byte changed."""
    at, by = place
    path.write_bytes(content[:at] + bytes([content[at] ^ by]) + content[at + 1 :])
    return fault_of(run)


def test_a_file_that_is_gone_is_named(run: Run, trace_folder: Path) -> None:
    files(trace_folder)[0].unlink()
    assert fault_of(run).startswith("The recorded file run.csv can't be read")


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("UPDATE engines_run SET typed_run_time_s = 1441", "The typed of the run of entry 2"),
        ("UPDATE engines_run SET remarks = 'x'", "The remarks of the run of entry 2"),
        ("UPDATE engines_reading SET peak = 769", "The evidence of the run of entry 2"),
        ("UPDATE engines_runtrace SET samples = 7", "The evidence of the run of entry 2"),
    ],
)
def test_what_was_stated_of_a_run_is_held_against_its_entry(statement: str, says: str, run: Run) -> None:
    guards_lift(connection)
    connection.cursor().execute(statement)
    guards_set(connection)
    assert says in fault_of(run)


def test_a_file_without_its_row_is_missed(run: Run) -> None:
    guards_lift(connection)
    RunTrace.objects.all().update(original_sha256="0" * 64)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(evidence, "_file_hold", lambda *of: None)
        assert fault_of(run) == "The file run.csv, which entry 2 rests on, is no longer kept."
    guards_set(connection)


def test_the_command_says_what_it_verified(run: Run, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("verify")
    said = capsys.readouterr().out
    assert f"{run.operator.name}: whole. 2 entries, 1 recorded files, 1 checkpoints hold. Root " in said
    call_command("verify", "--operator", run.operator.name, "--entries-only")
    assert "recorded files" not in capsys.readouterr().out


def test_the_command_names_what_is_wrong(run: Run, tmp_path: Path) -> None:
    guards_lift(connection)
    connection.cursor().execute("UPDATE logbook_entry SET completed_on = '2020-01-01' WHERE number = 2")
    guards_set(connection)
    with pytest.raises(CommandError, match="Entry 2 is not what was signed"):
        call_command("verify")


def test_the_command_holds_it_against_what_was_kept_elsewhere(
    run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    note = tmp_path / "kept.txt"
    note.write_text(Checkpoint.objects.get().note)
    call_command("verify", "--operator", run.operator.name, "--checkpoint", str(note))
    assert "2 checkpoints hold" in capsys.readouterr().out
    for options, says in ((("--checkpoint", str(note)), "Name the operator"), (("--operator", "Nobody"), "Known: ")):
        with pytest.raises(CommandError, match=says):
            call_command("verify", *options)


def test_a_checkpoint_is_printed_written_and_mailed(
    run: Run, stranger: Person, tmp_path: Path, mailoutbox: list[Any], capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("checkpoint")
    said = capsys.readouterr().out
    assert Checkpoint.objects.get(size=2).note in said
    assert f"{stranger.operator}: no entries yet." in said
    call_command("checkpoint", "--folder", str(tmp_path), "--mail", "keeper@example.org")
    assert [path.read_text() for path in tmp_path.glob("checkpoint-*-2.txt")] == [Checkpoint.objects.get(size=2).note]
    assert [(mail.to, mail.body) for mail in mailoutbox] == [
        (["keeper@example.org"], Checkpoint.objects.get(size=2).note)
    ]
    assert Inspection.objects.count() == 1

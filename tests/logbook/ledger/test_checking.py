"""The check names the first thing wrong, whatever was done to the rows: each fault here is made by plain SQL."""

import os
import random
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from engines.models import Engine, Operator
from logbook.ledger import checking, lots
from logbook.ledger.checking import ledger_check
from logbook.ledger.guards import guards_lift, guards_missing, guards_set
from logbook.ledger.lots import LedgerBroken, leaf_data, rows_sql
from logbook.ledger.rows import Checkpoint, Entry, LedgerNode
from logbook.ledger.store import checkpoint_make, root_now
from logbook.models import Person
from tests.factories import STARTED_AT, ComponentFactory
from tests.layers import ROOT
from tests.signed import entry_made, signing_of

Break = Callable[..., None]
CHANGES = 6000


@pytest.fixture
def record(engine: Engine, mechanic: Person) -> Operator:
    """Return an operator with eleven entries and checkpoints over the first and over all."""
    entries = [entry_made(engine, {"title": f"Entrée {k}"}, mechanic, STARTED_AT.date()) for k in range(10)]
    part = ComponentFactory.create(operator=engine.operator)
    entry_made(engine, {"title": "Put right"}, mechanic, STARTED_AT.date(), corrects=entries[2], component=part)
    checkpoint_make(engine.operator)
    return engine.operator


@pytest.fixture
def done() -> Break:
    """Return a function that does something to the rows behind the database's guards, and sets these again."""

    def act(*statements: str) -> None:
        guards_lift(connection)
        with connection.cursor() as cursor:
            for statement in statements:
                cursor.execute(statement)
        guards_set(connection)

    return act


def fault_of(operator: Operator, **options: Any) -> str:
    """Return what the check says; nothing where all is whole."""
    try:
        ledger_check(operator, **options)
    except LedgerBroken as error:
        return error.message
    return ""


def test_a_record_that_is_whole_is_counted(record: Operator) -> None:
    told: list[int] = []
    checked = ledger_check(record, progress=told.append)
    assert (checked.size, checked.root, checked.checkpoints) == (11, root_now(record, 11), 2)
    assert told == [11]


def test_nothing_is_whole_too(record: Operator, stranger: Person) -> None:
    assert stranger.operator is not None
    checked = ledger_check(stranger.operator)
    assert (checked.size, checked.root.hex()[:8]) == (0, "e3b0c442")  # SHA-256 of nothing, FIPS 180-4


def test_the_database_writes_the_end_of_a_document_as_python_does(record: Operator) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"{rows_sql()} ORDER BY number")
        written = [leaf_data(document) for _, document, _ in cursor.fetchall()]
    assert written == [b"\x00" + entry.document for entry in Entry.objects.order_by("number")]


@pytest.mark.parametrize("lot", [1, 2, 3])
def test_lots_of_any_size_come_to_the_same(lot: int, record: Operator, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lots, "LEVELS", lot)
    monkeypatch.setattr(lots, "LOT", 1 << lot)
    assert ledger_check(record).root == root_now(record, 11)


# They work in processes of their own, where nothing is counted.
@pytest.mark.no_cover
def test_two_processes_find_what_one_finds(tmp_path: Path) -> None:
    environment = {**os.environ, "EMBERMARK_DATA": str(tmp_path)}
    environment.pop("EMBERMARK_DATABASE", None)
    command = [sys.executable, "-m", "tests.harness.at_once"]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False, timeout=240)
    assert done.returncode == 0, done.stderr
    full, *told = done.stdout.splitlines()[-5:]
    assert full == "5 lots read by two"
    assert (told[0][:16], told[0]) == ("21 entries, root", told[1])
    assert (told[2][:28], told[2]) == ("Entry 14 is not what was sig", told[3])


@pytest.mark.django_db(transaction=True)
def test_the_processes_have_connections_of_their_own(record: Operator, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lots, "LEVELS", 1)
    monkeypatch.setattr(lots, "LOT", 2)
    if connection.vendor == "postgresql":
        assert len(list(lots.full_lots(record.pk, 2))) == 5
    assert ledger_check(record, processes=2).root == root_now(record, 11)
    assert record.entries.count() == 11  # over the connection that was left before


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("UPDATE logbook_entry SET content = replace(content, 'Entrée 4', 'Entrée 5') WHERE number = 5", "Entry 5 is"),
        ("UPDATE logbook_entry SET completed_on = '2026-05-03' WHERE number = 7", "Entry 7 is not what was signed"),
        ("UPDATE logbook_entry SET kind = 'work' WHERE number = 1", "Entry 1 is not what was signed"),
        ("UPDATE logbook_entry SET corrects_id = NULL WHERE number = 11", "Entry 11 is not what was signed"),
        ("UPDATE logbook_entry SET leaf_hash = replace(leaf_hash, 'a', 'b') WHERE number = 3", "Entry 3 is not what"),
        ("DELETE FROM logbook_entry WHERE number = 4", "Entry 4 is missing: after entry 3 comes entry 5."),
        ("UPDATE logbook_entry SET number = 12 WHERE number = 6", "Entry 6 is missing: after entry 5 comes entry 7."),
        ("DELETE FROM logbook_entry WHERE number = 11", "The record has 10 entries, and the checkpoint of"),
        ("UPDATE logbook_ledgernode SET hash = 'ff' WHERE level = 3", "over the entries 1 to 8 are not those"),
        ("DELETE FROM logbook_ledgernode WHERE level = 2 AND index = 1", "over the entries 1 to 8 are not those"),
        ("UPDATE logbook_checkpoint SET root = replace(root, 'a', 'b') WHERE size = 11", "does not say what its row"),
        ("UPDATE logbook_checkpoint SET note = replace(note, '11', '12') WHERE size = 11", "does not hold"),
        ("DELETE FROM logbook_ledgerkey", "no key of the operator is kept."),
    ],
)
def test_what_was_changed_is_named(statement: str, says: str, record: Operator, done: Break) -> None:
    quoted = statement.replace(" index ", ' "index" ')
    done(quoted)
    assert says in fault_of(record)


def test_entries_in_another_order_are_found(record: Operator, done: Break) -> None:
    swap = "UPDATE logbook_entry SET number = {} WHERE number = {}"
    done(swap.format(100, 2), swap.format(2, 3), swap.format(3, 100))
    assert fault_of(record) == "Entry 2 is not what was signed: its text, or a column of its row, was changed."


def test_an_entry_that_was_slipped_in_with_its_hash_is_found(
    record: Operator, engine: Engine, mechanic: Person, done: Break
) -> None:
    entry_made(engine, {"title": "Slipped in"}, mechanic, STARTED_AT.date())
    done('DELETE FROM logbook_ledgernode WHERE level = 2 AND "index" = 2')
    assert "The stored hashes over the entries 1 to 12 are not those of the entries." in fault_of(record)


def test_a_record_written_anew_from_its_first_entry_is_found_by_its_checkpoints(
    record: Operator, engine: Engine, mechanic: Person, done: Break
) -> None:
    notes = list(Checkpoint.objects.order_by("size").values("operator_id", "size", "root", "note"))
    done(*(f"DELETE FROM logbook_{table}" for table in ("checkpoint", "ledgernode", "entry")))
    for k in range(11):
        entry_made(engine, {"title": f"Forged {k}"}, mechanic, STARTED_AT.date())
    assert fault_of(record) == ""
    assert "are not those that the checkpoint that was kept elsewhere" in fault_of(record, kept_note=notes[1]["note"])
    done("DELETE FROM logbook_checkpoint")
    Checkpoint.objects.bulk_create(Checkpoint(**note) for note in notes)
    assert "The entries up to there are not those that the checkpoint of" in fault_of(record)


def test_an_older_copy_of_the_database_is_found_by_a_later_checkpoint(record: Operator, done: Break) -> None:
    later = Checkpoint.objects.get(size=11).note
    done(
        "DELETE FROM logbook_checkpoint WHERE size = 11",
        "DELETE FROM logbook_entry WHERE number > 8",
        'DELETE FROM logbook_ledgernode WHERE level = 1 AND "index" >= 4',
    )
    assert fault_of(record) == ""
    assert "The record has 8 entries, and the checkpoint that was kept elsewhere covers 11" in fault_of(
        record, kept_note=later
    )


def test_hashes_of_no_entry_are_found(record: Operator) -> None:
    LedgerNode.objects.create(operator=record, level=9, index=7, hash="0" * 64)
    assert fault_of(record) == "There are stored hashes that belong to no entry."


def test_a_database_without_its_guards_is_found(record: Operator) -> None:
    guards_lift(connection)
    assert "The database does not guard what is kept" in fault_of(record)
    guards_set(connection)
    assert guards_missing(connection) == []


# Thousands of times the same, which counting would make twice as slow.
@pytest.mark.no_cover
def test_any_single_letter_changed_in_any_row_is_found(record: Operator) -> None:
    # Each is undone before the next; recorded files have four thousand of their own in test_evidence.py.
    draw = random.Random(8785)
    columns = {
        "logbook_entry": ("content", "leaf_hash", "kind"),
        "logbook_ledgernode": ("hash",),
        "logbook_checkpoint": ("note", "root"),
    }
    cells = [
        (table, column, pk, text)
        for table, names in columns.items()
        for column in names
        for pk, text in _cells(table, column)
    ]
    guards_lift(connection)
    missed = [change for change in (_changed(draw, *draw.choice(cells)) for _ in range(CHANGES)) if change(record)]
    guards_set(connection)
    assert missed == []


def _cells(table: str, column: str) -> list[tuple[Any, str]]:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT id, {column} FROM {table}")
        return list(cursor.fetchall())


def _changed(draw: random.Random, table: str, column: str, pk: Any, text: str) -> Callable[[Operator], bool]:
    place = draw.randrange(len(text))
    letter = draw.choice([c for c in '0123456789abcdefXYZ {}",:é' if c != text[place]])
    spoilt = text[:place] + letter + text[place + 1 :]

    def is_missed(operator: Operator) -> bool:
        with connection.cursor() as cursor:
            cursor.execute(f"UPDATE {table} SET {column} = %s WHERE id = %s", [spoilt, pk])
            found = _fault_without_guards(operator)
            cursor.execute(f"UPDATE {table} SET {column} = %s WHERE id = %s", [text, pk])
        return not found

    return is_missed


def _fault_without_guards(operator: Operator) -> str:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(checking, "guards_missing", lambda connection: [])
        return fault_of(operator)


def test_who_signs_is_part_of_what_is_hashed(engine: Engine, mechanic: Person, inspector: Person, done: Break) -> None:
    entry = entry_made(engine, {"title": "One"}, mechanic, STARTED_AT.date())
    done(f"UPDATE logbook_entry SET signed_by_id = {inspector.pk}")
    assert "Entry 1 is not what was signed" in fault_of(engine.operator)
    assert signing_of(mechanic).certificate is not None
    assert entry.body["signed"]["name"] == str(mechanic)

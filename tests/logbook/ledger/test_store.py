"""The tree in the database: proofs, checkpoints, and rows that nothing changes."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from engines.models import Engine
from logbook.ledger import tree
from logbook.ledger.guards import guard_name, guarded, guards_lift, guards_missing, guards_set
from logbook.ledger.keys import key_name, ledger_key
from logbook.ledger.notes import checkpoint_text, note_open
from logbook.ledger.rows import Checkpoint, Entry, LedgerKey
from logbook.ledger.store import checkpoint_make, consistency_proof, inclusion_proof, root_now, size_of
from logbook.models import Person
from tests.factories import STARTED_AT
from tests.signed import entry_made


def made(engine: Engine, by: Person, count: int) -> list[Entry]:
    """Return so many entries, each with a text of its own."""
    return [entry_made(engine, {"title": f"Entry {k}"}, by, STARTED_AT.date()) for k in range(count)]


def naive_root(leaves: list[bytes]) -> bytes:
    """Return the root as RFC 6962 section 2.1 defines it, from nothing but the leaves."""
    if len(leaves) == 1:
        return leaves[0]
    split = 1 << (len(leaves) - 1).bit_length() - 1
    return tree.node_hash(naive_root(leaves[:split]), naive_root(leaves[split:]))


def test_every_size_has_the_root_that_the_definition_gives(engine: Engine, mechanic: Person) -> None:
    entries = made(engine, mechanic, 19)
    leaves = [bytes.fromhex(entry.leaf_hash) for entry in entries]
    assert [leaf for leaf in leaves if leaf != tree.leaf_hash(entries[leaves.index(leaf)].document)] == []
    assert [root_now(engine.operator, size) for size in range(1, 20)] == [naive_root(leaves[:k]) for k in range(1, 20)]


def test_proofs_hold_for_what_they_are_of_and_for_nothing_else(engine: Engine, mechanic: Person) -> None:
    entries = made(engine, mechanic, 11)
    leaves = [bytes.fromhex(entry.leaf_hash) for entry in entries]
    root = root_now(engine.operator, 11)
    for index, entry in enumerate(entries):
        path = inclusion_proof(entry, 11)
        asked: dict[str, Any] = {"index": index, "size": 11, "path": path, "root": root}
        assert tree.inclusion_holds(leaves[index], **asked)
        assert not tree.inclusion_holds(leaves[index - 1], **asked)
    for old in range(1, 11):
        path = consistency_proof(engine.operator, old, 11)
        roots = {"old_root": root_now(engine.operator, old), "new_root": root}
        assert tree.consistency_holds(old=old, new=11, path=path, **roots)
        assert not tree.consistency_holds(old=old, new=11, path=path, **roots | {"old_root": leaves[3]})


def test_an_entry_costs_as_the_tree_is_high(
    engine: Engine, mechanic: Person, django_assert_max_num_queries: Any
) -> None:
    made(engine, mechanic, 31)
    with django_assert_max_num_queries(12):
        made(engine, mechanic, 1)


def test_the_first_entry_and_a_new_day_bring_a_checkpoint_that_its_key_signed(engine: Engine, mechanic: Person) -> None:
    made(engine, mechanic, 3)
    assert [point.size for point in Checkpoint.objects.all()] == [1]
    with time_machine.travel(timezone.now() + timedelta(days=2)):
        made(engine, mechanic, 1)
    newest = Checkpoint.objects.last()
    assert newest is not None
    name = key_name(engine.operator)
    public = ledger_key(engine.operator).public_key().public_bytes_raw()
    text = note_open(newest.note, name=name, public_key=public)
    assert text == checkpoint_text(name, 4, root_now(engine.operator, 4))
    assert LedgerKey.objects.get().public == public.hex()


def test_a_checkpoint_on_demand_is_made_once_for_each_size(engine: Engine, mechanic: Person) -> None:
    assert checkpoint_make(engine.operator) is None
    made(engine, mechanic, 2)
    first, again = checkpoint_make(engine.operator), checkpoint_make(engine.operator)
    assert first == again
    assert (size_of(engine.operator), Checkpoint.objects.count()) == (2, 2)


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE logbook_entry SET content = '{}'",
        "DELETE FROM logbook_entry",
        "UPDATE logbook_ledgernode SET hash = ''",
        "DELETE FROM logbook_checkpoint",
        "UPDATE logbook_ledgerkey SET public = ''",
    ],
)
def test_plain_sql_changes_nothing_that_is_kept(sql: str, engine: Engine, mechanic: Person) -> None:
    made(engine, mechanic, 2)
    with pytest.raises(IntegrityError, match="only ever added"), transaction.atomic():
        connection.cursor().execute(sql)


REPLACING = {
    "sqlite": "INSERT OR REPLACE INTO logbook_entry SELECT * FROM logbook_entry",
    "postgresql": "INSERT INTO logbook_entry SELECT * FROM logbook_entry ON CONFLICT (id) DO UPDATE SET number = 7",
}


def test_a_row_is_not_replaced_either(engine: Engine, mechanic: Person) -> None:
    made(engine, mechanic, 1)
    with pytest.raises(IntegrityError, match="only ever added"), transaction.atomic():
        connection.cursor().execute(REPLACING[connection.vendor])


def test_neither_do_queries_and_rows(engine: Engine, mechanic: Person) -> None:
    (entry,) = made(engine, mechanic, 1)
    for act in (entry.save, entry.delete, Entry.objects.all().delete, lambda: Entry.objects.update(number=7)):
        with pytest.raises(TypeError, match="only ever added"):
            act()


def test_guards_can_be_lifted_for_a_migration_and_are_missed_then(db: None) -> None:
    assert guards_missing(connection) == []
    with transaction.atomic():
        guards_lift(connection)
        assert guards_missing(connection) == [guard_name(*guard) for guard in guarded(connection.vendor)]
        guards_set(connection)
        assert guards_missing(connection) == []

"""The page that answers for a printed entry without an account, and the screens of the record as a whole."""

import json
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.models import Engine
from logbook.ledger import tree
from logbook.ledger.codes import code_of
from logbook.ledger.guards import guards_lift, guards_set
from logbook.ledger.notes import checkpoint_read, note_open, vkey_decode
from logbook.models import Entry, Person
from tests.factories import STARTED_AT
from tests.logbook.screen_kit import signed_in, words
from tests.signed import entry_made


@pytest.fixture
def entry(engine: Engine, mechanic: Person) -> Entry:
    """Return one entry."""
    return entry_made(engine, {"title": "Borescope 3 of 4"}, mechanic, STARTED_AT.date())


def asked(client: Client, code: str) -> str:
    return words(client.get(reverse("check"), {"code": code}))


@pytest.mark.parametrize("typed", [str, str.lower, lambda code: code.replace("-", " ").replace("0", "O")])
def test_a_printed_code_is_answered_without_an_account(typed: Any, client: Client, entry: Entry) -> None:
    """Paper R6: serial, date and state, without an account."""
    page = asked(client, typed(code_of(entry.leaf_hash)))
    assert "Match: this entry is current. Serial number TB-0001 Date of the entry 2026-05-04" in page
    assert "Borescope" not in page
    assert "Testholm" not in page


def test_the_address_of_the_qr_is_answered_too(client: Client, entry: Entry) -> None:
    assert "this entry is current" in words(client.get(f"/check/{entry.leaf_hash}/?size=1"))


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE logbook_entry SET content = replace(content, '3 of 4', '4 of 4')",
        "UPDATE logbook_entry SET completed_on = '2026-05-05'",
        "UPDATE logbook_checkpoint SET root = '00' || substr(root, 3)",
    ],
)
def test_a_record_that_was_changed_does_not_match_its_paper(statement: str, client: Client, entry: Entry) -> None:
    """Paper R6: one changed letter, and the check page says so."""
    guards_lift(connection)
    connection.cursor().execute(statement)
    guards_set(connection)
    page = asked(client, code_of(entry.leaf_hash))
    assert "The code does not match any entry of this record as it stands." in page
    assert "TB-0001" not in page


@pytest.mark.parametrize(("how", "says"), [("superseded", "superseded"), ("void", "void")])
def test_what_was_corrected_is_no_longer_current(
    *, how: str, says: str, client: Client, entry: Entry, engine: Engine, mechanic: Person
) -> None:
    newer = entry_made(engine, {"correction": {"how": how}}, mechanic, STARTED_AT.date(), corrects=entry)
    assert f"Match: this entry is {says}." in asked(client, code_of(entry.leaf_hash))
    assert "Match: this entry is current." in asked(client, code_of(newer.leaf_hash))


@pytest.mark.parametrize(
    ("code", "says"),
    [("0000-0000-0000-0000", "does not match any entry"), ("f" * 64, "does not match any entry"), ("12", "Error:")],
)
def test_what_is_no_code_of_here_is_told(code: str, says: str, client: Client, entry: Entry) -> None:
    assert says in asked(client, code)


def test_the_record_says_whether_it_is_whole(client: Client, entry: Entry, auditor: Person) -> None:
    signed_in(client, auditor)
    page = words(client.get(reverse("record_state")))
    assert "1 signed entry, each hashed into a tree" in page
    assert "No backup has been made from here." in page
    assert "checkpoint-1.txt" in page
    assert "Make a checkpoint now" not in page
    assert "Whole: 1 entries from the rows up, and 1 checkpoint hold." in words(
        client.get(reverse("record_state"), {"verify": "1"})
    )
    guards_lift(connection)
    connection.cursor().execute("UPDATE logbook_entry SET completed_on = '2026-05-05'")
    guards_set(connection)
    assert "Not whole. Entry 1 is not what was signed" in words(client.get(reverse("record_state"), {"verify": "1"}))


def test_a_day_without_a_backup_is_warned_of(client: Client, entry: Entry, auditor: Person) -> None:
    with time_machine.travel(timezone.now() + timedelta(hours=25)):
        page = words(signed_in(client, auditor).get(reverse("record_state")))
    assert "Warning: Entries since" in page


def test_a_long_record_is_verified_on_the_server(
    client: Client, entry: Entry, auditor: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("logbook.views.record_state.AT_ONCE", 0)
    page = words(signed_in(client, auditor).get(reverse("record_state"), {"verify": "1"}))
    assert 'manage.py verify --operator "Testholm Flying Service"' in page
    assert "Whole:" not in page


def test_the_director_makes_checkpoints_to_keep_elsewhere(
    client: Client, engine: Engine, mechanic: Person, director: Person
) -> None:
    signed_in(client, director)
    assert client.post(reverse("checkpoint_add")).status_code == 422
    entry_made(engine, {"title": "One"}, mechanic, STARTED_AT.date())
    entry_made(engine, {"title": "Two"}, mechanic, STARTED_AT.date())
    assert "Checkpoint over 2 entries" in words(client.post(reverse("checkpoint_add"), follow=True))
    given = client.get(reverse("checkpoint_note", args=[2]))
    assert (given["Content-Type"], given.content.decode().split("\n")[1]) == ("text/plain; charset=utf-8", "2")
    assert client.get(reverse("checkpoint_note", args=[7])).status_code == 404


def test_an_entry_leaves_with_its_proof(client: Client, entry: Entry, auditor: Person) -> None:
    proof = json.loads(signed_in(client, auditor).get(reverse("entry_proof", args=[1])).content)
    name, public = vkey_decode(proof["keys"][0])
    facts = checkpoint_read(note_open(proof["checkpoint"], name=name, public_key=public))
    leaf = tree.leaf_hash(proof["document"].encode())
    path = [bytes.fromhex(digest) for digest in proof["inclusion_path"]]
    assert (leaf.hex(), facts.size) == (proof["leaf_hash"], proof["tree_size"])
    asked_for = {"index": proof["leaf_index"], "size": facts.size, "path": path, "root": facts.root}
    assert tree.inclusion_holds(leaf, **asked_for)


def test_how_records_are_kept_is_written_from_what_there_is(client: Client, entry: Entry, auditor: Person) -> None:
    page = words(signed_in(client, auditor).get(reverse("record_description")))
    for part in (
        "Facilities, hardware and software",
        "of these kinds there are some now: Run.",
        "A session ends after 30 minutes without use (15 for an inspector)",
        "Auditor read, print.",
        f"{auditor} (auditor) Auditor",
        "Backup: manage.py backup copies database, recorded files and keys while people work",
    ):
        assert part in page

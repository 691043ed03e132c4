"""Correcting entries that state several things, or that are older than the sheets that correct them.

A list of parts, a record that was received, and entries of parts that name no row of the record beside them.
"""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.conf import LazySettings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import LimitFacts, limit_add, part_done_add
from engines.actions.limits import OVERHAUL_STEPS
from engines.actions.parts import Fitting, Removal
from engines.models import Component, Engine, PartDone, PartMovement
from engines.part_queries import component_times, statuses_of
from engines.queries import engine_times
from logbook.ledger.checking import ledger_check
from logbook.ledger.guards import guards_lift, guards_set
from logbook.models import Entry, PartStatement, Person
from logbook.part_acts import limit_sign, part_add_sign, part_done_sign, part_fit_sign, part_remove_sign
from logbook.part_told import row_told
from logbook.putting_right import way_of
from tests.factories import STARTED_AT, RunFactory
from tests.logbook.handover.owners import handed, taken
from tests.logbook.maintenance.kit import OPENING, opened, signed
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import signed_in, words
from tests.logbook.test_part_corrections import WHY
from tests.logbook.test_screens_bulk import GOOD, HEAD
from tests.logbook.test_screens_bulk import signed as list_signed
from tests.logbook.test_screens_corrections import boxes_of, sign
from tests.signed import signing_of

HOUR = timedelta(hours=1)


def put_right(client: Client, entry: Entry, query: str = "", **changes: str) -> Any:
    """Read and sign a correction as the pages send it; return the last answer."""
    at = f"{reverse('entry_correct', args=[entry.number])}{query}"
    page = client.post(at, boxes_of(client.get(at).content.decode()) | {"why": WHY} | changes)
    return sign(client, at, page) if page.status_code == 200 else page


@pytest.fixture
def listed(client: Client, engine: Engine, mechanic: Person) -> Entry:
    """Return the signed entry of a list of a disc, fitted to the engine, and a blade set; its mechanic signed in."""
    signed_in(client, mechanic)
    file = SimpleUploadedFile("parts.csv", "\n".join([HEAD, *GOOD, ""]).encode(), content_type="text/csv")
    list_signed(client, client.post(reverse("parts_bulk"), {"file": file}))
    return Entry.objects.get()


def test_r_cor_6_a_line_of_a_list_is_put_right_and_its_part_s_times_follow(client: Client, listed: Entry) -> None:
    page = words(client.get(reverse("entry_correct", args=[listed.number])))
    assert "2 of 2 shown" in page and "Correct how it was fitted" in page
    assert "1 of 2 shown" in words(client.get(reverse("entry_correct", args=[listed.number]), {"serial": "c3"}))
    assert put_right(client, listed, "?part=B-2+C3", starts="21").status_code == 302
    part = Component.objects.get(serial="C3")
    assert component_times(part).starts == 21
    newer = Entry.objects.get(corrects=listed)
    assert (newer.kind, newer.component, newer.body["part"][0]) == ("opening", None, listed.body["part"][0])
    assert newer.body["correction"]["changes"] == [
        {
            "what": "B-2 C3",
            "was": "Blade set; used 10.0 h run time, 12 starts; from: Release certificate",
            "is": "Blade set; used 10.0 h run time, 21 starts; from: Release certificate",
        }
    ]
    assert (
        "<del>Blade set; used 10.0 h run time, 12 starts"
        in client.get(reverse("entry_detail", args=[listed.number])).content.decode()
    )
    assert "SUPERSEDED by entry 2" in text_of(client.get(reverse("entry_print", args=[newer.number])).content)


def test_r_cor_6_how_a_list_fitted_a_part_is_put_right_twice(client: Client, engine: Engine, listed: Entry) -> None:
    """By hand: the engine counts 4 cycles in 2025, so a disc that was fitted in 2026 did not run them."""
    RunFactory.create(engine=engine, started_at=datetime(2025, 3, 1, 8, tzinfo=UTC), cycles=4, run_time_s=3600)
    disc = Component.objects.get(serial="A7")
    assert component_times(disc).cycles == 4
    query = "?part=D-1+A7&what=fitting"
    assert put_right(client, listed, query, at="2026-02-01T10:00").status_code == 302
    assert component_times(disc).cycles == 0
    newer = Entry.objects.get(corrects=listed)
    assert newer.body["part"][0][1].endswith("fitted to TB-0001, turbine, since 2026-02-01")
    assert put_right(client, newer, query, position="hub").status_code == 302
    last = Entry.objects.get(corrects=newer)
    assert last.body["part"][0][1].endswith("fitted to TB-0001, hub, since 2026-02-01")
    assert put_right(client, last, "?part=D-1+A7", cycles="30").status_code == 302
    disc.refresh_from_db()
    assert component_times(disc).cycles == 30
    assert Entry.objects.get(corrects=last).body["part"][0][1].endswith("fitted to TB-0001, hub, since 2026-02-01")
    assert ledger_check(engine.operator).size == 4


def test_what_a_list_does_not_state_has_no_sheet(client: Client, listed: Entry, inspector: Person) -> None:
    for query in ("?part=B-2+C3&what=fitting", "?part=B-2+C4"):
        assert "This list has no such line." in words(
            client.get(f"{reverse('entry_correct', args=[listed.number])}{query}")
        )
    signed_in(client, inspector)
    told = words(client.get(reverse("entry_correct", args=[listed.number])))
    assert "signed this entry and corrects it; where they can't, the director does" in told


def forget_what_is_stated() -> None:
    """Leave the entries as they were signed before the row that each states was named beside it."""
    guards_lift(connection)
    with connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {PartStatement._meta.db_table}")
    guards_set(connection)


@pytest.fixture
def older(engine: Engine, mechanic: Person, inspector: Person) -> dict[str, Entry]:
    """Return entries of each kind about a disc, by their kinds, none of which names its row."""
    brought = {
        "part_number": "D-1",
        "serial": "7",
        "description": "Disc",
        "opening_basis": "Card",
        "brought_cycles": 90,
    }
    opening = part_add_sign(by=mechanic, signing=signing_of(mechanic), **brought)
    disc = opening.component
    assert disc is not None
    RunFactory.create(engine=engine, started_at=STARTED_AT + HOUR, cycles=4, run_time_s=3600)
    told = {"operator": engine.operator, "part_number": "D-1"}
    life = limit_add(
        **told, kind="life", parameter="cycles", facts=LimitFacts(100, "count", "Chapter 5", "3"), by=inspector
    )
    limit = limit_sign(component=disc, limit=life, by=inspector, signing=signing_of(inspector))
    fitting = Fitting(STARTED_AT, engine, position="disc")
    fitted = part_fit_sign(component=disc, fitting=fitting, by=mechanic, signing=signing_of(mechanic))
    off = Removal(STARTED_AT + 4 * HOUR, control="1")
    removed = part_remove_sign(component=disc, removal=off, by=mechanic, signing=signing_of(mechanic))
    facts = LimitFacts(50, "count", "Chapter 5", "3")
    interval = limit_add(**told, kind="overhaul", parameter="cycles", facts=facts, by=inspector)
    how = {"reference": "Manual 72-30", "tested_by": "Test 4", "steps": OVERHAUL_STEPS, "at": STARTED_AT + 3 * HOUR}
    done = part_done_add(component=disc, limit=interval, by=mechanic, **how)
    overhauled = part_done_sign(done=done, by=mechanic, signing=signing_of(mechanic))
    forget_what_is_stated()
    return {entry.kind: entry for entry in (opening, limit, fitted, removed, overhauled)}


def test_an_older_entry_of_a_part_is_put_right_and_stays_as_it_was_signed(
    client: Client, engine: Engine, older: dict[str, Entry], mechanic: Person, director: Person
) -> None:
    """R-COR-1: their bodies stay valid, byte for byte; what they state is found by what they say."""
    signed_in(client, director)
    disc = Component.objects.get()
    assert component_times(disc).cycles == 94
    contents = {entry.pk: entry.content for entry in older.values()}
    assert put_right(client, older["part_fitted"], at="2026-05-04T10:00").status_code == 302
    assert component_times(disc).cycles == 90
    assert put_right(client, older["part_removed"], place="shelf 3").status_code == 302
    assert put_right(client, older["part_done"], reference="Manual 72-31").status_code == 302
    assert put_right(client, older["part_limit"], amount="95").status_code == 302
    left = {limit.kind: status.remaining for limit, status in statuses_of([disc], STARTED_AT.date())[disc.pk].rows}
    assert left == {"life": 5, "overhaul": 50}
    assert Entry.objects.exclude(corrects=None).count() == 4
    for pk, content in contents.items():
        assert Entry.objects.get(pk=pk).content == content
    assert ledger_check(engine.operator).size == 9


def test_an_older_entry_that_nothing_reads_like_says_so(
    client: Client, older: dict[str, Entry], mechanic: Person
) -> None:
    entry = older["part_fitted"]
    entry.body["part"] = [["What was done", "Fitted"], ["When", "1999-01-01 08:00 +0000"]]
    assert row_told(entry) is None
    assert "no sheet to correct it" in way_of(entry).words
    assert way_of(older["part_removed"]).screen == "entry_correct"


@pytest.mark.parametrize(("kind", "label"), [("part_removed", "When"), ("part_done", "Completed at")])
def test_a_moment_is_known_as_it_was_said_before(older: dict[str, Entry], kind: str, label: str) -> None:
    entry = older[kind]
    stated = row_told(entry)
    assert isinstance(stated, PartMovement | PartDone)
    before = f"{timezone.localtime(stated.at):%Y-%m-%d %H:%M %z}"
    entry.body["part"] = [[name, before if name == label else words] for name, words in entry.body["part"]]
    assert row_told(entry) == stated


@pytest.fixture
def folder(settings: LazySettings, tmp_path: Any) -> None:
    """Keep packages of this test apart."""
    settings.PACKAGES_DIR = tmp_path / "packages"


@pytest.fixture
def received(folder: None, engine: Engine, mechanic: Person, director: Person, stranger: Person) -> Entry:
    """Return the entry by which another owner received the engine, which brought 1,204.5 h and ran one more."""
    signed(opened(engine, mechanic, "opening", **OPENING), mechanic)
    RunFactory.create(engine=engine, started_at=STARTED_AT, run_time_s=3600, starts=1, cycles=1)
    return taken(handed(director, engine=engine)[1], stranger).entry


def test_r_cor_6_what_a_received_engine_had_used_is_put_right(
    client: Client, received: Entry, stranger: Person
) -> None:
    """By hand: 1,204.5 h brought and 1 h run here are 1,205.5; 1,304.5 h brought are 1,305.5, and the package stays."""
    signed_in(client, stranger)
    assert "Correct it" in words(client.get(reverse("entry_detail", args=[received.number])))
    answer = put_right(client, received, basis="records", run_time_s="1304.5", document="Invented log book 1, page 9")
    assert answer.status_code == 302
    newer = Entry.objects.get(corrects=received)
    engine = newer.engine
    assert engine is not None
    assert engine_times(engine).run_time_s == 1305.5 * 3600
    assert (newer.body["title"], newer.body["received"]) == ("Record received", received.body["received"])
    assert newer.body["times"]["run_time_s"] == 1305.5 * 3600
    assert newer.body["times"]["starts"] == received.body["times"]["starts"]
    assert put_right(client, newer, starts="901").status_code == 302
    engine.refresh_from_db()
    assert engine_times(engine).starts == received.body["times"]["starts"] + 1
    printed = text_of(client.get(reverse("entry_print", args=[newer.number])).content)
    assert "Record received" in printed and received.body["received"]["package_sha256"][:16] in printed


def test_r_cor_6_what_a_received_part_had_used_is_put_right(
    client: Client, folder: None, mechanic: Person, director: Person, stranger: Person
) -> None:
    brought = {"part_number": "N-1", "serial": "1", "opening_basis": "Log card 4", "brought_cycles": 9}
    part = part_add_sign(by=mechanic, signing=signing_of(mechanic), **brought).component
    entry = taken(handed(director, component=part)[1], stranger).entry
    signed_in(client, stranger)
    assert put_right(client, entry, cycles="19", basis="Log card 4, counted again").status_code == 302
    newer = Entry.objects.get(corrects=entry)
    assert newer.component is not None
    assert component_times(newer.component).cycles == 19
    assert (newer.kind, newer.body["title"]) == ("opening", "Record received")
    rows = dict(newer.body["part"])
    assert rows["Used when its record here began"] == "19 full cycles"
    assert rows["Package, SHA-256"] == entry.body["received"]["package_sha256"]


def test_r_cor_6_what_a_part_came_back_with_is_put_right(
    client: Client, folder: None, mechanic: Person, director: Person, stranger: Person
) -> None:
    """It went by a record and came back by one; what it had used by then is stated anew."""
    brought = {"part_number": "N-1", "serial": "1", "opening_basis": "Log card 4", "brought_cycles": 9}
    part = part_add_sign(by=mechanic, signing=signing_of(mechanic), **brought).component
    assert part is not None
    there = taken(handed(director, component=part)[1], stranger).entry.component
    entry = taken(handed(stranger, component=there)[1], director).entry
    assert entry.component == part
    signed_in(client, director)
    assert put_right(client, entry, cycles="12", remarks="Their card, page 2").status_code == 302
    part.refresh_from_db()
    assert component_times(part).cycles == 12
    newer = Entry.objects.get(corrects=entry)
    assert (newer.kind, newer.body["title"]) == ("opening", "Record received")
    assert put_right(client, newer, cycles="13").status_code == 302
    part.refresh_from_db()
    assert component_times(part).cycles == 13

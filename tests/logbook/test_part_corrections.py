"""Correcting entries about parts, R-COR-1 to R-COR-6 and R-ES-13: on the screen, on paper, by REST and by the code."""

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.actions import LimitFacts, limit_add, part_done_add
from engines.actions.limits import OVERHAUL_STEPS
from engines.actions.parts import Fitting
from engines.models import Component, Engine, PartDone, PartLimit
from engines.part_queries import component_times, statuses_of
from logbook.handover.gathering import entries_in, record_of, scope_of_engine
from logbook.ledger.checking import ledger_check
from logbook.ledger.codes import code_of
from logbook.models import Entry, Person
from logbook.part_acts import part_done_sign, part_fit_sign, part_strike_sign
from tests.factories import STARTED_AT, ComponentFactory, EngineFactory, RunFactory
from tests.logbook.printing.reading import text_of
from tests.logbook.screen_kit import signed_in, words
from tests.logbook.test_screens_corrections import boxes_of, sign
from tests.signed import signing_of

HOUR = datetime.timedelta(hours=1)
WHY = "Copied from the wrong line."


@pytest.fixture
def disc(engine: Engine) -> Component:
    """Return a disc with a life of 100 equivalent cycles, whose engine counts 4 an hour after the fitting."""
    part: Component = ComponentFactory.create(
        operator=engine.operator, part_number="D-1", serial="7", description="Disc", brought_cycles=90
    )
    RunFactory.create(engine=engine, started_at=STARTED_AT + HOUR, cycles=4, run_time_s=3600)
    return part


@pytest.fixture
def fitted(engine: Engine, disc: Component, mechanic: Person) -> Entry:
    """Return the signed entry of the disc's fitting."""
    facts = LimitFacts(100, "count", "Invented chapter 5", "3", weight=Decimal("0.5"))
    told = {"operator": engine.operator, "part_number": "D-1", "kind": "life", "parameter": "equivalent_cycles"}
    limit_add(**told, facts=facts, by=mechanic)
    fitting = Fitting(STARTED_AT, engine, position="disc")
    return part_fit_sign(component=disc, fitting=fitting, by=mechanic, signing=signing_of(mechanic))


def corrected(client: Client, entry: Entry, **changes: str) -> Any:
    """Read and sign a correction as the pages send it; return the last answer."""
    at = reverse("entry_correct", args=[entry.number])
    page = client.post(at, boxes_of(client.get(at).content.decode()) | {"why": WHY} | changes)
    return sign(client, at, page) if page.status_code == 200 else page


def test_a_fitting_is_corrected_and_all_follows(
    client: Client, engine: Engine, disc: Component, fitted: Entry, mechanic: Person
) -> None:
    """R-COR-1, 2, 3, 5 and 6: both stay readable, linked both ways; times and what is left are worked out anew."""
    assert component_times(disc).cycles == 94
    signed_in(client, mechanic)
    assert "Correct it" in words(client.get(reverse("entry_detail", args=[fitted.number])))
    later = (STARTED_AT + 2 * HOUR).strftime("%Y-%m-%dT%H:%M")
    assert corrected(client, fitted, at=later)["Location"] == reverse("entry_detail", args=[2])
    newer = Entry.objects.get(corrects=fitted)
    assert (newer.kind, newer.component, newer.body["correction"]["of_hash"]) == (
        "part_fitted",
        disc,
        fitted.leaf_hash,
    )
    assert component_times(disc).cycles == 90
    (_, status) = statuses_of([disc], STARTED_AT.date())[disc.pk].rows[0]
    assert status.remaining == 10
    told = {line["what"]: line["is"] for line in newer.body["correction"]["changes"]}
    assert told == {"When": "2026-05-04 09:30 UTC"} | told
    old = client.get(reverse("entry_detail", args=[fitted.number])).content.decode()
    assert "<del>2026-05-04 07:30 UTC</del>" in old
    assert "Superseded by" in old and WHY in old
    page = words(client.get(reverse("part_detail", args=[disc.pk])))
    assert "stated anew as 2026-05-04 09:30, corrected by" in page
    assert "superseded by entry 2" in page
    printed = text_of(client.get(reverse("entry_print", args=[newer.number])).content)
    for words_ in ("SUPERSEDED by entry 2", "This entry corrects entry 1", code_of(fitted.leaf_hash), WHY):
        assert words_ in printed
    assert code_of(newer.leaf_hash) in printed
    for entry, state in ((fitted, "superseded"), (newer, "current")):
        assert state in words(client.get(reverse("check"), {"code": code_of(entry.leaf_hash)}))
    assert ledger_check(engine.operator).size == 2


def test_a_correction_of_a_correction_and_of_a_strike(
    client: Client, engine: Engine, disc: Component, fitted: Entry, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    corrected(client, fitted, position="disc 2")
    second = Entry.objects.get(corrects=fitted)
    corrected(client, second, position="disc 3")
    third = Entry.objects.get(corrects=second)
    assert dict(third.body["part"])["Place"] == "disc 3"
    struck = part_strike_sign(component=disc, reason="Another disc", by=mechanic, signing=signing_of(mechanic))
    assert (struck.corrects, struck.body["correction"]["how"]) == (third, "void")
    assert "void" in words(client.get(reverse("check"), {"code": code_of(third.leaf_hash)}))
    assert component_times(disc).cycles == 90
    corrected(client, struck, position="disc 4")
    back = Entry.objects.get(corrects=struck)
    assert (back.body["title"], component_times(disc).cycles) == ("D-1 7 fitted", 94)
    assert "Entry 5 stands in the place of this one" in words(client.get(reverse("entry_correct", args=[4])))
    printed = text_of(client.get(reverse("entry_print", args=[back.number])).content)
    assert "VOID by entry 4" in printed


def test_what_can_not_have_been_is_said_on_the_sheet(
    client: Client, engine: Engine, disc: Component, fitted: Entry, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    address = reverse("part_remove", args=[disc.pk])
    sent = {"at": "2026-05-05T10:00", "control": "1"}
    read = client.post(address, sent)
    assert sign(client, address, read).status_code == 302, "what the page itself sends is signed"
    removed = Entry.objects.get(kind="part_removed")
    page = corrected(client, removed, at="2026-05-01T10:00")
    assert page.status_code == 422
    assert "does not follow: it is removed before it was ever fitted" in words(page)
    assert Entry.objects.count() == 2
    assert corrected(client, removed, at="2026-05-04T08:00", place="bench").status_code == 302
    assert component_times(disc).cycles == 90
    assert dict(Entry.objects.get(corrects=removed).body["part"])["Where it is now"] == "bench"


def test_r_cor_2_and_4_who_is_entitled(client: Client, fitted: Entry, inspector: Person, director: Person) -> None:
    """R-COR-2 and R-COR-4: who signed, or the director; limits only by those who enter them."""
    at = reverse("entry_correct", args=[fitted.number])
    assert "corrects it; where they can't, the director does" in words(signed_in(client, inspector).get(at))
    assert client.post(at, {"why": WHY}).status_code == 422
    assert corrected(signed_in(client, director), fitted, remarks="Seen on the card").status_code == 302
    assert Entry.objects.get(corrects=fitted).signed_by == director


def test_a_limit_is_lowered_and_not_raised(
    client: Client, disc: Component, inspector: Person, mechanic: Person
) -> None:
    signed_in(client, inspector)
    address = reverse("limit_add", args=[disc.pk])
    sent = {"kind": "overhaul", "parameter": "run_time", "amount": "500", "tolerance": "5"}
    read = client.post(address, sent | {"source": "Invented chapter 5", "source_revision": "3"})
    assert sign(client, address, read).status_code == 302
    entry = Entry.objects.get(kind="part_limit")
    raised = corrected(client, entry, amount="501")
    assert "A correction raises no limit, and 501.0 h is more than 500.0 h" in words(raised)
    assert corrected(client, entry, amount="450").status_code == 302
    newer = Entry.objects.get(corrects=entry)
    rows = dict(newer.body["part"])
    assert (rows["Limit"], rows["Replaces"]) == (
        "Overhaul interval 450.0 h run time, tolerance 5.0 h",
        "none",
    )
    assert newer.completed_on == entry.completed_on
    (row,) = statuses_of([disc], STARTED_AT.date())[disc.pk].rows
    assert row[0].amount == 450 * 3600
    limit = PartLimit.objects.get(replaced_by=None)
    assert "Corrected: Overhaul interval 500.0 h" in words(
        client.get(reverse("limit_detail", args=[disc.pk, limit.pk]))
    )
    newer.signed_by = inspector
    assert "Correct it" not in words(signed_in(client, mechanic).get(reverse("entry_detail", args=[newer.number])))


def test_who_enters_no_limits_corrects_none(
    client: Client, disc: Component, mechanic: Person, inspector: Person
) -> None:
    signed_in(client, inspector)
    address = reverse("limit_add", args=[disc.pk])
    sent = {"kind": "inspection", "parameter": "calendar", "amount": "12", "calendar_unit": "months"}
    read = client.post(address, sent | {"source": "Invented chapter 5", "source_revision": "3"})
    sign(client, address, read)
    entry = Entry.objects.get(kind="part_limit")
    inspector.role = "mechanic"
    inspector.save()
    page = words(client.get(reverse("entry_correct", args=[entry.number])))
    assert "Your role does not enter limits" in page


def test_a_done_overhaul_is_corrected(client: Client, fitted: Entry, disc: Component, mechanic: Person) -> None:
    facts = LimitFacts(50, "count", "Invented chapter 5", "3")
    told = {"operator": disc.operator, "part_number": "D-1", "kind": "overhaul", "parameter": "cycles"}
    interval = limit_add(**told, facts=facts, by=mechanic)
    at = STARTED_AT + 3 * HOUR
    how = {"reference": "Manual 72-30", "tested_by": "Test 4", "steps": OVERHAUL_STEPS}
    done = part_done_add(component=disc, limit=interval, at=at, by=mechanic, **how)
    entry = part_done_sign(done=done, by=mechanic, signing=signing_of(mechanic))
    signed_in(client, mechanic)
    earlier = (STARTED_AT + HOUR / 2).strftime("%Y-%m-%dT%H:%M")
    assert corrected(client, entry, at=earlier, reference="Manual 72-31").status_code == 302
    (_, status) = statuses_of([disc], STARTED_AT.date())[disc.pk].rows[-1]
    assert status.remaining == 46
    assert PartDone.objects.filter(replaced_by=None).count() == 1
    page = words(client.get(reverse("part_detail", args=[disc.pk])))
    assert "Corrected: 2026-05-04 08:00 stands" in page


def test_a_sent_part_and_an_opening_balance_are_corrected(client: Client, engine: Engine, mechanic: Person) -> None:
    signed_in(client, mechanic)
    address = reverse("part_add")
    sent = {"part_number": "N-1", "serial": "1", "run_time": "12.5", "cycles": "9", "basis": "Log card 4"}
    assert sign(client, address, client.post(address, sent)).status_code == 302
    part = Component.objects.get(part_number="N-1")
    opening = Entry.objects.get(component=part)
    assert corrected(client, opening, cycles="19").status_code == 302
    part.refresh_from_db()
    assert component_times(part).cycles == 19
    assert (part.brought_cycles, part.brought_run_time_s) == (19, 45_000)
    newer = Entry.objects.get(corrects=opening)
    assert newer.body["correction"]["changes"] == [
        {
            "what": "Used when its record here began",
            "was": "12.5 h run time, 9 full cycles",
            "is": "12.5 h run time, 19 full cycles",
        }
    ]
    address = reverse("part_send", args=[part.pk])
    page = client.post(address, {"to": "Farholm Air", "at": "2026-05-08T10:00"})
    assert sign(client, address, page).status_code == 302
    gone = Entry.objects.get(kind="part_removed")
    assert corrected(client, gone, to="Nearholm Air").status_code == 302
    assert "Sent to Nearholm Air" in words(client.get(reverse("part_detail", args=[part.pk])))


def test_an_entry_is_packed_with_the_one_in_its_place(
    client: Client, engine: Engine, disc: Component, fitted: Entry, mechanic: Person
) -> None:
    """The disc was on another engine: whoever gets the first engine's record sees that its entry stands no more."""
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
    corrected(signed_in(client, mechanic), fitted, host=f"engine:{other.pk}")
    newer = Entry.objects.get(corrects=fitted)
    corrected(client, newer, position="disc 2")
    assert [entry.engine for entry in entries_in(scope_of_engine(engine))] == [engine, other, other]
    scope = scope_of_engine(other)
    assert [entry.number for entry in entries_in(scope)] == [1, 2, 3]
    told = record_of(scope)["tables"]
    assert [row["replaces"] for row in told["movements"]] == [None, *[row["id"] for row in told["movements"][:2]]]
    assert len(told["part_statements"]) == 3
    assert (len(told["movement_voids"]), component_times(disc).cycles) == (2, 90)


def test_rest_reads_both(client: Client, fitted: Entry, disc: Component, mechanic: Person) -> None:
    signed_in(client, mechanic)
    corrected(client, fitted, position="disc 2")
    first, second = (client.get(f"/api/v1/entries/{n}/").json() for n in (1, 2))
    assert (first["state"], first["corrected_by"], second["state"], second["corrects"]) == (
        "superseded",
        2,
        "current",
        1,
    )
    old, new = client.get(f"/api/v1/components/{disc.pk}/").json()["movements"]
    assert (old["struck"], old["replaced_by"], new["replaces"]) == (WHY, new["id"], old["id"])


def test_a_part_that_came_back_is_corrected(
    client: Client, engine: Engine, disc: Component, fitted: Entry, mechanic: Person
) -> None:
    """By hand: it went with 94 cycles and came back with 97, not 99; 97 of 100 leave 3."""
    signed_in(client, mechanic)
    sheets = (
        ("part_remove", {"at": "2026-05-05T10:00", "control": "1"}),
        ("part_send", {"to": "Farholm Air", "at": "2026-05-06T10:00"}),
        (
            "part_return",
            {
                "place": "Farholm Air",
                "at": "2026-05-09T10:00",
                "run_time": "2",
                "cycles": "99",
                "remarks": "Log card 9",
            },
        ),
    )
    for name, sent in sheets:
        address = reverse(name, args=[disc.pk])
        read = client.post(address, sent | ({"control": "2"} if name == "part_return" else {}))
        assert sign(client, address, read).status_code == 302, name
    entry = Entry.objects.get(kind="handover")
    assert component_times(Component.objects.get(pk=disc.pk)).cycles == 99
    less = corrected(client, entry, cycles="93")
    assert "It went with more than that: cycles" in words(less)
    early = corrected(client, entry, at="2026-05-06T09:00")
    assert "before it went" in words(early)
    assert corrected(client, entry, cycles="97").status_code == 302
    newer = Entry.objects.get(corrects=entry)
    assert dict(newer.body["part"])["Of that while it was away"].endswith("3 full cycles")
    part = Component.objects.get(pk=disc.pk)
    (_, status) = statuses_of([part], STARTED_AT.date())[part.pk].rows[0]
    assert (component_times(part).cycles, status.remaining) == (97, 3)
    assert corrected(client, newer, place="Nearholm Air").status_code == 302

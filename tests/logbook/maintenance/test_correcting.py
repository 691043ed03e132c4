"""Correcting entries of maintenance, inspections, meters and opening balances: R-COR-1 to R-COR-6 of work."""

import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.errors import DomainError
from engines.latest import meter_before
from engines.models import Engine, MeterChange
from engines.queries import engine_times
from logbook.corrections import Correcting
from logbook.engine_papers.items import discrepancies_sheet
from logbook.maintenance.correcting import work_corrected
from logbook.maintenance.queries import discrepancy_list, holding
from logbook.maintenance.rules import rules_choose
from logbook.models import Discrepancy, Entry, Person
from logbook.statements.coverage import ENGINEER, POWERPLANT
from tests.factories import STARTED_AT
from tests.logbook.maintenance.kit import LAMP, LEAK, certified, opened, refused, signed, signing
from tests.logbook.screen_kit import signed_in, words
from tests.logbook.test_screens_corrections import boxes_of, sign

WHY = "Copied from the wrong page."


@pytest.fixture
def balance(engine: Engine, mechanic: Person) -> Entry:
    """Return a signed opening balance."""
    return signed(opened(engine, mechanic, "opening"), mechanic)


@pytest.fixture
def done(engine: Engine, mechanic: Person) -> Entry:
    """Return signed maintenance."""
    certified(mechanic, "powerplant")
    return signed(opened(engine, mechanic), mechanic)


@pytest.fixture
def changed(engine: Engine, mechanic: Person) -> Entry:
    """Return a signed change of hour meter, from 812.40 h to 0.00 h."""
    return signed(opened(engine, mechanic, "meter"), mechanic)


@pytest.fixture
def inspected(engine: Engine, mechanic: Person) -> Entry:
    """Return a signed inspection that was not approved, with an open discrepancy and a deferred one."""
    certified(mechanic, POWERPLANT)
    return signed(opened(engine, mechanic, "inspection", **refused(found=[LEAK, LAMP])), mechanic)


def corrected(entry: Entry, by: Person, why: str = WHY, **facts: Any) -> Entry:
    return work_corrected(entry=entry, facts=facts, correcting=Correcting(by, why, signing(by)))


def test_r_cor_6_times_follow_a_corrected_balance(engine: Engine, balance: Entry, mechanic: Person) -> None:
    """R-COR-6: times that changed by correction are re-derived everywhere."""
    before = engine_times(Engine.objects.get(pk=engine.pk))
    newer = corrected(balance, mechanic, starts="901")
    after = engine_times(Engine.objects.get(pk=engine.pk))
    assert (before.starts, after.starts, after.run_time_s) == (900, 901, before.run_time_s)
    assert (newer.corrects, newer.kind, newer.body["times"]["starts"]) == (balance, "opening", 901)
    assert newer.body["correction"]["changes"] == [{"what": "Starts", "was": "900", "is": "901"}]
    third = corrected(newer, mechanic, cycles="881")
    assert (third.body["opening"]["used"]["starts"], third.body["correction"]["of"]) == (901, newer.number)


def test_r_cor_1_maintenance_is_restated_beside_itself(done: Entry, mechanic: Person) -> None:
    """R-COR-1 to R-COR-3; what decides how it ended is not restated."""
    newer = corrected(done, mechanic, description="Replaced the igniter of the left box.", is_major="yes")
    assert newer.corrects == done
    assert newer.body["work"]["description"] == "Replaced the igniter of the left box."
    assert newer.body["work"]["is_major"] == done.body["work"]["is_major"]
    assert newer.body["release"]["outcome"] == done.body["release"]["outcome"]
    assert newer.body["signed"]["meaning"] == newer.body["release"]["statement"]
    assert "left box" in newer.body["release"]["statement"]


@pytest.mark.parametrize(
    ("facts", "why", "code"),
    [
        ({"description": "Other."}, " ", "text_missing"),
        ({}, WHY, "nothing_changed"),
        ({"data_document": "", "data_revision": "", "description": ""}, WHY, "work_refused"),
    ],
)
def test_what_a_correction_can_not_be(
    done: Entry, mechanic: Person, *, facts: dict[str, Any], why: str, code: str
) -> None:
    with pytest.raises(DomainError) as caught:
        corrected(done, mechanic, why, **facts)
    assert (caught.value.code, Entry.objects.count()) == (code, 1)
    assert done.work.facts["description"]


def test_r_cor_2_and_4_who_is_entitled(done: Entry, mechanic: Person, inspector: Person, director: Person) -> None:
    """R-COR-2 and R-COR-4: the signer or the director, by a certificate that covers it; and once."""
    for by, code in ((inspector, "not_yours"), (director, "certificate_does_not_cover")):
        with pytest.raises(DomainError) as caught:
            corrected(done, by, description="Other.")
        assert caught.value.code == code
    corrected(done, mechanic, description="Other.")
    with pytest.raises(DomainError) as caught:
        corrected(done, mechanic, description="Another.")
    assert caught.value.code == "corrected_before"


def test_r_cor_5_a_balance_is_put_right_on_the_screen(client: Client, balance: Entry, mechanic: Person) -> None:
    """R-COR-5: the old text is struck through beside the correction."""
    signed_in(client, mechanic)
    at = reverse("entry_correct", args=[balance.number])
    assert at in client.get(reverse("entry_detail", args=[balance.number])).content.decode()
    sheet = client.get(at)
    page = client.post(at, boxes_of(sheet.content.decode()) | {"starts": "901", "why": WHY})
    assert "Starts 900 901" in words(page)
    assert sign(client, at, page)["Location"] == reverse("entry_detail", args=[balance.number + 1])
    old = client.get(reverse("entry_detail", args=[balance.number])).content.decode()
    assert "<dd><del>900</del></dd>" in old
    assert "stands in the place of this one" in words(client.get(at))


def test_r_cor_6_the_meter_goes_on_from_a_corrected_change(engine: Engine, changed: Entry, mechanic: Person) -> None:
    """R-COR-6: by hand, 821.4 − 0.5 = 820.9 h to be added, and the next reading is held against 0.5 h."""
    newer = corrected(changed, mechanic, old="821.40", new="0.5")
    before = meter_before(engine, STARTED_AT + datetime.timedelta(days=300))
    assert before is not None and before.hours == Decimal("0.5")
    assert newer.body["meter"]["offset_h"] == "820.90"
    told = {line["what"]: (line["was"], line["is"]) for line in newer.body["correction"]["changes"]}
    assert told["Last reading of the old meter"] == ("812.40 h", "821.40 h")
    assert (newer.corrects, changed.corrected_by) == (changed, newer)
    third = corrected(newer, mechanic, at="2026-05-03T08:00:00+00:00")
    first, second, row = MeterChange.objects.order_by("pk")
    assert (second.replaces, row.replaces, row.old_h) == (first, second, Decimal("821.40"))
    assert third.body["correction"]["of"] == newer.number


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"at": "2035-01-01T08:00:00+00:00"}, "still to come"),
        ({"at": "2026-05-01T08:00:00+00:00"}, "another change of this meter is recorded"),
        ({"old": ""}, "Give the last reading"),
    ],
)
def test_what_a_corrected_meter_can_not_be(
    engine: Engine, changed: Entry, mechanic: Person, *, facts: dict[str, Any], words: str
) -> None:
    signed(opened(engine, mechanic, "meter", at="2026-05-01T08:00:00+00:00", old="9", new="1"), mechanic)
    with pytest.raises(DomainError, match=words):
        corrected(changed, mechanic, **facts)
    assert MeterChange.objects.filter(replaced_by=None).count() == 2


def test_r_cor_5_a_meter_is_put_right_on_the_screen(client: Client, changed: Entry, mechanic: Person) -> None:
    """R-COR-5: why the meter was changed and why the entry is corrected are two boxes."""
    signed_in(client, mechanic)
    at = reverse("entry_correct", args=[changed.number])
    assert at in client.get(reverse("entry_detail", args=[changed.number])).content.decode()
    boxes = boxes_of(client.get(at).content.decode())
    assert (boxes["meter_why"], boxes["why"], boxes["old"]) == ("Failed", "", "812.40")
    page = client.post(at, boxes | {"old": "821.40", "meter_why": "Display failed", "why": WHY})
    assert "Last reading of the old meter 812.40 h 821.40 h" in words(page)
    assert sign(client, at, page).status_code == 302
    newer = Entry.objects.get(corrects=changed)
    assert (newer.body["meter"]["why"], newer.body["correction"]["why"]) == ("Display failed", WHY)
    old = client.get(reverse("entry_detail", args=[changed.number])).content.decode()
    assert "<del>812.40 h</del>" in old


def test_r_cor_1_an_inspection_is_restated_and_its_list_follows(
    engine: Engine, inspected: Entry, mechanic: Person, auditor: Person
) -> None:
    """R-COR-1 and R-COR-6: the list of discrepancies says what is stated now; how it ended and who did it stays."""
    found = [LEAK | {"text": "Oil leak at the starter"}, LAMP | {"deferral": "Invented list, item 9"}]
    newer = corrected(inspected, mechanic, found=found, extent="Cold section", is_approved="yes", inspection="Other")
    assert newer.body["release"]["outcome"] == inspected.body["release"]["outcome"]
    assert (newer.body["scheduled"]["extent"], newer.body["scheduled"]["is_approved"]) == ("Cold section", "no")
    leak, lamp = discrepancy_list(auditor).order_by("number")
    assert (leak.text, leak.text_now, leak.basis_now) == (LEAK["text"], "Oil leak at the starter", LEAK["basis"])
    assert [str(line) for line in leak.lines.all()] == [f"Open, entry {n}" for n in (1, 2)]
    line = lamp.lines.last()
    assert line is not None
    assert (line.state, line.deferral, line.text) == ("deferred", "Invented list, item 9", "")
    assert holding([engine])[engine.pk] == ["Oil leak at the starter (discrepancy 1)"]
    (listing,) = discrepancies_sheet(auditor, engine).listings
    assert [row[2] for row in listing.rows] == ["Oil leak at the starter", LAMP["text"]]
    told = {line["what"]: (line["was"], line["is"]) for line in newer.body["correction"]["changes"]}
    assert "Oil leak at the starter" in told["List of discrepancies, 1"][1]
    third = corrected(newer, mechanic, found=[LEAK, found[1]])
    again = Discrepancy.objects.get(pk=leak.pk)
    assert (again.lines.count(), again.text_now) == (3, LEAK["text"])
    assert third.corrects == newer and Discrepancy.objects.count() == 2


def test_a_corrected_inspection_is_not_held_up_by_what_came_since(
    engine: Engine, inspector: Person, mechanic: Person
) -> None:
    certified(mechanic, POWERPLANT)
    certified(inspector, POWERPLANT)
    approved = signed(opened(engine, mechanic, "inspection"), mechanic)
    signed(opened(engine, inspector, "inspection", **refused()), inspector)
    newer = corrected(approved, mechanic, run_after="Torque 97 %, oil 110 psi and 74 °C, N1 101 %")
    assert newer.body["scheduled"]["performed_by"] == [str(mechanic)]
    with pytest.raises(DomainError) as caught:
        corrected(newer, mechanic, extent="")
    assert caught.value.code == "work_refused"


def test_who_did_it_stays_where_the_director_corrects(inspected: Entry, mechanic: Person, director: Person) -> None:
    certified(director, POWERPLANT)
    newer = corrected(inspected, director, extent="Cold section")
    assert newer.body["scheduled"]["performed_by"] == [str(mechanic)]
    assert newer.body["signed"]["name"] == str(director)


def test_a_condition_of_a_release_is_restated_and_not_doubled(
    engine: Engine, mechanic: Person, director: Person
) -> None:
    rules_choose(by=director, ruleset="canada")
    certified(mechanic, ENGINEER)
    said = {"outcome": "conditional", "pending": "Test flight"}
    entry = signed(opened(engine, mechanic, **said), mechanic)
    corrected(entry, mechanic, pending="Test flight within 7 days")
    (row,) = Discrepancy.objects.all()
    assert row.text_now == "Test flight within 7 days"


def test_an_inspection_is_put_right_on_the_screen(client: Client, inspected: Entry, mechanic: Person) -> None:
    signed_in(client, mechanic)
    at = reverse("entry_correct", args=[inspected.number])
    sheet = client.get(at)
    boxes = boxes_of(sheet.content.decode())
    assert "Discrepancy 2: on which basis" in words(sheet)
    assert boxes["found_1_text"] == LEAK["text"]
    assert "found_1_deferral" not in boxes
    page = client.post(at, boxes | {"found_1_text": "Oil leak at the starter", "why": WHY})
    assert sign(client, at, page).status_code == 302
    assert "Oil leak at the starter" in words(client.get(reverse("discrepancy_list")))
    old = client.get(reverse("entry_detail", args=[inspected.number])).content.decode()
    assert f"<del>{LEAK['text']}" in old

"""R-91.409-e: the inspection programme of an engine's aircraft is selected, kept and signed, beside its life limits."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.actions import LimitFacts, component_add, limit_add, part_fit, programme_correct
from engines.errors import DomainError
from engines.models import Component, Engine, ProgrammeSelection
from logbook.corrections import Correcting
from logbook.handover.importing import package_import
from logbook.ledger.checking import ledger_check
from logbook.models import Entry, Person
from logbook.programmes import NOT_HERE, gate_of, programme_corrected, selection_on
from tests.factories import STARTED_AT
from tests.logbook.handover.records import packed_of
from tests.logbook.maintenance.kit import opened
from tests.logbook.screen_kit import signed_in, words
from tests.logbook.test_screens_corrections import sign
from tests.logbook.test_screens_start import pdf_words
from tests.programmes import TITLE, boxes, chosen, selected
from tests.signed import entry_made, signing_of

WHY = "The wrong revision was read."


@pytest.fixture
def blade(engine: Engine, director: Person) -> Component:
    """Return a part on the engine that has used more than its life."""
    named = {"part_number": "RB-1", "serial": "7", "description": "Rotor", "opening_basis": "invented"}
    part = component_add(operator=engine.operator, brought_cycles=120, **named)
    part_fit(component=part, engine=engine, position="stage 1", at=STARTED_AT, by=director)
    return part


def lives(part: Component, cycles: int, by: Person) -> None:
    """Give a part a life of so many cycles."""
    facts = LimitFacts(cycles, "count", "Invented chapter 5", "3")
    named = {"operator": part.operator, "part_number": part.part_number, "parameter": "cycles"}
    limit_add(**named, kind="life", facts=facts, by=by)


def test_nothing_is_selected_before_somebody_does(engine: Engine) -> None:
    gate = gate_of(engine)
    assert gate.selection is None
    assert gate.against == ["No inspection programme is selected for the aircraft of this engine."]
    assert gate.parts_words == "No life limit of a part is kept in this record."


def test_what_is_selected_is_signed_and_stands_from_its_day(engine: Engine, director: Person) -> None:
    begun = timezone.localdate() - timedelta(days=10)
    entry = selected(engine, director, from_on=begun)
    assert (entry.kind, entry.completed_on, entry.engine) == ("programme", begun, engine)
    assert dict(entry.body["programme"]) == {
        "Aircraft": "TB-99",
        "Kind of aircraft": "Multi-engine turboprop aeroplane",
        "Inspected under": "Current programme that the manufacturer recommends (14 CFR 91.409(f)(3))",
        "Programme": TITLE,
        "Revision": "4",
        "Its inspections are scheduled by": "Test Owner, Testholm",
        "From": begun.isoformat(),
        "In place of": "none",
    }
    standing = selection_on(engine, timezone.localdate())
    assert standing is not None and standing.signed.entry == entry
    assert selection_on(engine, begun - timedelta(days=1)) is None
    assert gate_of(engine).against == []
    assert ledger_check(engine.operator).size == entry.number


def test_another_stands_in_its_place_and_counts_on(engine: Engine, director: Person) -> None:
    begun = timezone.localdate() - timedelta(days=10)
    selected(engine, director, from_on=begun)
    later = selected(engine, director, revision="5")
    told = dict(later.body["programme"])["In place of"]
    assert told.startswith(f"{TITLE}, revision 4: current programme that the manufacturer recommends, from {begun}")
    assert "count on under this one (14 CFR 91.409(h))" in told
    assert getattr(selection_on(engine, timezone.localdate()), "revision", "") == "5"
    assert getattr(selection_on(engine, begun), "revision", "") == "4"


def test_what_is_not_open_to_the_aircraft_is_refused_and_nothing_is_kept(engine: Engine, director: Person) -> None:
    with pytest.raises(DomainError) as refused:
        selected(engine, director, option="annual")
    assert (refused.value.code, set(refused.value.fields)) == ("programme_invalid", {"option"})
    assert not ProgrammeSelection.objects.exists() and not Entry.objects.exists()


def test_an_engine_that_was_handed_over_has_none_selected(engine: Engine, director: Person) -> None:
    engine.left_at, engine.left_to = timezone.now(), "Nearholm Air"
    engine.save()
    with pytest.raises(DomainError) as refused:
        selected(engine, director)
    assert refused.value.code == "engine_left"


def test_a_spent_life_stands_against_it(engine: Engine, director: Person, blade: Component) -> None:
    lives(blade, 100, director)
    selected(engine, director)
    gate = gate_of(engine)
    assert (gate.lives, len(gate.passed)) == (1, 1)
    assert gate.against == [f"Past its replacement time: {gate.passed[0]}."]
    assert "RB-1" in gate.passed[0] and gate.parts_words.startswith("Past its replacement time: ")


def test_a_life_that_is_not_spent_is_counted(engine: Engine, director: Person, blade: Component) -> None:
    lives(blade, 500, director)
    assert gate_of(engine).parts_words == "1 kept in this record, none past."


def test_a_selection_is_corrected_and_the_one_before_stays_readable(engine: Engine, director: Person) -> None:
    begun = timezone.localdate() - timedelta(days=10)
    selected(engine, director, from_on=begun, revision="3")
    entry = selected(engine, director)
    correcting = Correcting(director, WHY, signing_of(director))
    newer = programme_corrected(entry=entry, said=chosen(revision="5"), correcting=correcting)
    assert newer.corrects == entry and newer.body["correction"]["why"] == WHY
    assert [change["what"] for change in newer.body["correction"]["changes"]] == ["Revision"]
    assert getattr(selection_on(engine, timezone.localdate()), "revision", "") == "5"
    first = ProgrammeSelection.objects.get(signed__entry=entry)
    assert (first.revision, first.replaced_by.revision) == ("4", "5")
    with pytest.raises(DomainError, match="stands in the place"):
        programme_corrected(entry=entry, said=chosen(revision="6"), correcting=correcting)
    with pytest.raises(DomainError, match="corrected before"):
        programme_correct(row=first, said=chosen(revision="6"), by=director)
    with pytest.raises(DomainError, match="Nothing is stated otherwise"):
        programme_corrected(entry=newer, said=chosen(revision="5"), correcting=correcting)


def test_an_entry_of_something_else_states_no_selection(engine: Engine, director: Person) -> None:
    entry = entry_made(engine, {"kind": "run", "title": "Run"}, director, timezone.localdate())
    with pytest.raises(DomainError, match=NOT_HERE):
        programme_corrected(entry=entry, said=chosen(), correcting=Correcting(director, WHY, signing_of(director)))


def test_the_director_selects_on_the_screen(client: Client, engine: Engine, director: Person) -> None:
    address, sheet = (reverse(name, args=[engine.pk]) for name in ("engine_programme", "programme_select"))
    page = signed_in(client, director).get(address)
    assert "No inspection programme is selected for the aircraft of this engine." in words(page)
    assert sheet in page.content.decode()
    wrong = client.post(sheet, boxes(director, option="annual"))
    assert (
        wrong.status_code == 422
        and "Multi-engine turboprop aeroplane: choose one under 14 CFR 91.409(f)(1)" in words(wrong)
    )
    read = client.post(sheet, boxes(director))
    assert read.status_code == 200 and TITLE in words(read) and not Entry.objects.exists()
    assert sign(client, sheet, read).status_code == 302
    page = client.get(address)
    assert f"Selected: {TITLE}, revision 4" in words(page) and "Entry 1" in words(page)
    assert "Inspection programme: Programme for twins" in words(client.get(reverse("engine_detail", args=[engine.pk])))
    listed = words(client.get(reverse("entry_list"), {"kind": "programme"}))
    assert "Inspection programme selected" in listed


def test_others_read_it_and_select_nothing(client: Client, engine: Engine, mechanic: Person) -> None:
    address, sheet = (reverse(name, args=[engine.pk]) for name in ("engine_programme", "programme_select"))
    page = signed_in(client, mechanic).get(address)
    assert page.status_code == 200 and sheet not in page.content.decode()
    assert client.post(sheet, boxes(mechanic)).status_code == 403
    assert not ProgrammeSelection.objects.exists()


def test_the_sheet_of_an_engine_that_left_says_so(client: Client, engine: Engine, director: Person) -> None:
    engine.left_at, engine.left_to = timezone.now(), "Nearholm Air"
    engine.save()
    page = words(signed_in(client, director).get(reverse("programme_select", args=[engine.pk]), follow=True))
    assert f"Engine {engine} was handed over to Nearholm Air" in page and "Read what you will sign" not in page


def test_the_status_report_names_it(client: Client, engine: Engine, director: Person) -> None:
    address = reverse("status_print", args=[engine.pk])
    before = pdf_words(signed_in(client, director).get(address))
    assert "(iv) Inspection programme of the aircraft" in before
    entry = selected(engine, director)
    after = pdf_words(client.get(address))
    assert TITLE in after and "Test Owner, Testholm" in after and "TB-99" in after
    assert f"{entry.number}" in after and "No life limit of a part is kept in this record." in after


def test_the_sheet_of_an_inspection_says_what_is_selected(client: Client, engine: Engine, director: Person) -> None:
    selected(engine, director)
    work = opened(engine, director, "inspection")
    page = words(signed_in(client, director).get(reverse("work_change", args=[work.pk])))
    assert f"Selected for this engine: {TITLE}, revision 4" in page


def test_what_an_earlier_owner_selected_is_told_and_does_not_stand(
    engine: Engine, director: Person, stranger: Person
) -> None:
    selected(engine, director)
    package = package_import(
        BytesIO(packed_of(engine, director)), operator=stranger.operator, by=stranger,
        signing=signing_of(stranger, "Taken in"),
    )  # fmt: skip
    assert package.engine is not None
    arrived = ProgrammeSelection.objects.get(engine=package.engine)
    assert (arrived.title, arrived.revision, hasattr(arrived, "signed")) == (TITLE, "4", False)
    assert gate_of(package.engine).selection is None

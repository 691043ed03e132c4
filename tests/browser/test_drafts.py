"""What is typed on a sheet outlasts a reload, and is forgotten once it is signed or recorded."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from engines.actions import component_add
from engines.models import Component, Engine
from logbook.models import Concern, Entry, Person
from tests.harness.waits import forgotten
from tests.logbook.screen_kit import PASSWORD

SignIn = Callable[[Person], Page]


@pytest.fixture
def part(at_work: Engine) -> Component:
    """Return a part that is not fitted yet."""
    named = {"part_number": "D-1", "serial": "7", "description": "Disc", "opening_basis": "invented"}
    return component_add(operator=at_work.operator, **named)


def opened(page: Page, address: str) -> Page:
    """Open a sheet."""
    page.goto(page.url.replace("/engines/", address))
    return page


def sign(page: Page, title: str) -> None:
    """Read what a sheet makes, change nothing, and sign it."""
    page.get_by_role("button", name="Read what you will sign").click()
    page.get_by_role("button", name="Do not sign, change something first").click()
    expect(page.get_by_text("Brought back as you left it")).to_be_visible()
    page.get_by_role("button", name="Read what you will sign").click()
    page.get_by_label("Your password, to sign").fill(PASSWORD)
    page.get_by_role("button", name="Sign it").click()
    expect(page.get_by_role("heading", name=title)).to_be_visible()
    forgotten(page)


def test_a_programme(sign_in: SignIn, at_work: Engine, director: Person) -> None:
    address = f"/engines/{at_work.pk}/programme/select/"
    page = opened(sign_in(director), address)
    page.get_by_label("Aircraft", exact=True).fill("TB-99")
    page.get_by_label("Multi-engine turboprop aeroplane").check()
    page.get_by_label("Current programme that the manufacturer recommends").check()
    page.get_by_label("Programme", exact=True).fill("Programme for twins (invented)")
    page.get_by_label("Revision").fill("4")
    page.get_by_label("Its inspections are scheduled by").fill("Test Owner, Testholm")
    page.get_by_label("From").fill("2026-05-04")
    page.get_by_label("Your certificate").select_option(index=1)
    page.reload()
    expect(page.get_by_label("Programme", exact=True)).to_have_value("Programme for twins (invented)")
    expect(page.get_by_label("Multi-engine turboprop aeroplane")).to_be_checked()
    sign(page, "Entry 1: Inspection programme selected")
    page.goto(page.url.replace("/entries/1/", address))
    expect(page.get_by_label("Programme", exact=True)).to_have_value("")
    assert Entry.objects.get().kind == Entry.Kind.PROGRAMME


def test_a_part(sign_in: SignIn, at_work: Engine, mechanic: Person, part: Component) -> None:
    page = opened(sign_in(mechanic), f"/parts/{part.pk}/fit/")
    page.get_by_label("Fitted to").select_option(index=1)
    page.get_by_label("Place").fill("stage 1")
    page.get_by_label("Fitted at").fill("2026-05-04T07:30")
    page.reload()
    expect(page.get_by_label("Place")).to_have_value("stage 1")
    sign(page, "Entry 1: D-1 7 fitted")
    assert Entry.objects.get().kind == Entry.Kind.PART_FITTED


def test_a_note_that_settles(sign_in: SignIn, at_work: Engine, director: Person) -> None:
    told = {"kind": Concern.Kind.LATE, "about": "Run", "text": "Recorded late"}
    concern = Concern.objects.create(operator=at_work.operator, engine=at_work, raised_by=director, **told)
    page = opened(sign_in(director), f"/to-settle/{concern.pk}/")
    page.get_by_label("It stands as recorded").check()
    page.get_by_label("Note").fill("Copied from the card")
    page.reload()
    expect(page.get_by_label("Note")).to_have_value("Copied from the card")
    page.get_by_role("button", name="Settle it").click()
    expect(page.get_by_text("Settled: It stands as recorded.")).to_be_visible()
    forgotten(page)
    assert concern.settlement.note == "Copied from the card"

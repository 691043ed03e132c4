"""What is kept and not on its way can be changed by its author, and is not sent while it is."""

import pytest
from playwright.sync_api import Page, expect

from engines.models import Engine, Run
from inspections.actions import inspection_assign
from inspections.models import Finding, Inspection
from logbook.models import Person
from tests.browser.phone.kit import Phone
from tests.logbook.screen_kit import inspection_opened

HELD = "held back while you change it"


def changed(page: Page) -> None:
    """Press Change it on the one item, which is held back first."""
    page.get_by_role("button", name="Change it").click()
    page.wait_for_url("**/?item=*")


def test_a_run_is_changed_before_it_is_sent_and_is_not_sent_meanwhile(
    phone: Phone, engine: Engine, mechanic: Person
) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    number = phone.keep_run(engine, remarks="Quiet")
    page = phone.go("/not-sent-yet/")
    changed(page)
    expect(page.locator("[name=remarks]")).to_have_value("Quiet")
    phone.join()
    phone.send()
    expect(page.get_by_text("The server answers.", exact=True)).to_be_visible()
    expect(page.locator("[data-item]")).to_contain_text(HELD)
    expect(phone.strip()).to_contain_text("1 held back")
    assert Run.objects.count() == 0
    phone.cut()
    page.get_by_role("link", name="Change it").click()
    expect(page.locator("[name=remarks]")).to_have_value("Quiet")
    assert phone.fill_run(remarks="Whistles above 90 %", began="2026-05-04T07:30") == number
    phone.join()
    phone.send()
    phone.emptied()
    assert (str(Run.objects.get().pk), Run.objects.get().remarks) == (number, "Whistles above 90 %")


def test_what_was_held_back_goes_as_it_is_when_its_author_says_so(
    phone: Phone, engine: Engine, mechanic: Person
) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    phone.keep_run(engine, remarks="As it was")
    changed(phone.go("/not-sent-yet/"))
    phone.join()
    page = phone.go("/not-sent-yet/")
    change = page.get_by_role("link", name="Change it").bounding_box()
    send = page.get_by_role("button", name="Send it as it is")
    as_it_is = send.bounding_box()
    assert change is not None and as_it_is is not None
    apart = max(as_it_is["y"] - change["y"] - change["height"], as_it_is["x"] - change["x"] - change["width"])
    assert apart >= 8
    send.click()
    phone.emptied()
    assert Run.objects.get().remarks == "As it was"


@pytest.fixture
def job(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection in the mechanic's hands."""
    return inspection_assign(inspection=inspection_opened(engine, mechanic), to=mechanic, by=mechanic)


def test_of_many_sheets_on_a_screen_the_one_that_it_was_written_on_is_filled(
    phone: Phone, job: Inspection, mechanic: Person
) -> None:
    address = f"/inspections/{job.pk}/"
    phone.stock(mechanic, address)
    phone.cut()
    phone.keep_finding(address, "Nick in blade 7")
    page = phone.go("/not-sent-yet/")
    changed(page)
    expect(page.get_by_label("What was found")).to_have_value("Nick in blade 7")
    page.get_by_label("What was found").fill("Nick in blade 9")
    page.get_by_role("button", name="Record the finding").click()
    expect(page.locator("[data-kept]")).to_be_visible()
    phone.join()
    phone.send()
    phone.emptied()
    assert Finding.objects.get().text == "Nick in blade 9"
    assert not job.steps.exclude(answer="").exists()


def test_what_was_kept_after_it_still_follows_what_was_changed(phone: Phone, job: Inspection, mechanic: Person) -> None:
    address = f"/inspections/{job.pk}/"
    phone.stock(mechanic, address)
    phone.cut()
    for name in ("Done", "Not applicable"):
        page = phone.go(address)
        if name != "Done":
            page.get_by_text("Not done, or it does not apply").first.click()
            page.get_by_label("Reason").first.fill("No such valve here")
        page.get_by_role("button", name=name, exact=True).first.click()
        expect(page.locator("[data-kept]")).to_be_visible()
    first, second = phone.rows()
    assert second["after"] == [first["id"]]
    page = phone.go("/not-sent-yet/")
    page.get_by_role("button", name="Change it").first.click()
    page.wait_for_url("**/?item=*")
    page.get_by_role("button", name="Done", exact=True).first.click()
    expect(page.locator("[data-kept]")).to_be_visible()
    assert [(row["id"], row["after"]) for row in phone.rows()] == [(first["id"], []), (second["id"], [first["id"]])]
    phone.join()
    phone.send()
    phone.emptied()
    assert job.steps.get(position=1).answer == "not_applicable"


def test_a_sheet_says_where_its_item_is_no_longer_here(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic)
    page = phone.go(f"/engines/{engine.pk}/record/?item=00000000-0000-4000-8000-000000000000")
    expect(page.get_by_text("This is no longer here: the server has received it.")).to_be_visible()

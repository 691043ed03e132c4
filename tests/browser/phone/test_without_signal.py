"""The hangar has no signal: what was downloaded is there, a run is kept, and it arrives once."""

from playwright.sync_api import expect

from engines.models import Engine, Run
from logbook.models import Arrival, Person
from tests.browser.phone.kit import Phone


def test_what_was_downloaded_is_there_with_its_age(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.sign_in_by_screen(mechanic)
    phone.stocked(f"/engines/{engine.pk}/", "/engines/", f"/engines/{engine.pk}/record/")
    phone.cut()
    page = phone.go("/engines/")
    expect(page.get_by_text("No signal. This is what the server had less than a minute ago")).to_be_visible()
    page.get_by_role("link", name=engine.serial, exact=True).click()
    expect(page.get_by_role("heading", name=f"Engine {engine.serial}")).to_be_visible()
    expect(page.locator("input[name=csrfmiddlewaretoken]")).to_have_count(0)
    page.goto(f"{phone.gate.url}/due/")
    expect(page.get_by_text("This screen is not kept on this phone.")).to_be_visible()


def test_a_run_is_kept_and_arrives_once_unsigned(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    number = phone.keep_run(engine, remarks="Without signal", run_time="0.4", peak_0="770", seconds_0="20")
    (row,) = phone.rows()
    assert (row["id"], row["author"], row["state"]) == (number, mechanic.pk, "kept")
    expect(phone.strip()).to_contain_text("1 kept on this phone")
    phone.join()
    phone.send()
    phone.emptied()
    run = Run.objects.get()
    assert (str(run.pk), run.remarks, run.recorded_by) == (number, "Without signal", mechanic)
    assert run.unsigned.recorded_by == mechanic
    arrival = Arrival.objects.get()
    expect(phone.page.get_by_text(f"Received - no. {arrival.pk}")).to_be_visible()
    expect(phone.page.get_by_role("link", name="Read and sign")).to_be_visible()
    expect(phone.strip()).to_contain_text("All received")

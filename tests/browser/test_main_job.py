"""The main job in a real browser: a recorded run in, its inspection done and signed, the entry printed."""

from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Locator, Page, expect

from engines.models import Engine, Run
from inspections.models import Finding, Inspection
from logbook.models import Person
from tests.harness.waits import pressed_until
from tests.logbook.screen_kit import PASSWORD, recording_csv

SignIn = Callable[[Person], Page]
RECEIVED_MS = 60_000  # a phone tries again by itself, at first after some seconds


def reached(page: Page, box: Locator) -> Locator:
    """Return a box of the sheet, walked to part by part."""
    expect(page.get_by_text("Part 1 of")).to_have_count(1)
    pressed_until(box.is_visible, page.get_by_role("button", name="Next").click)
    return box


def record(page: Page, engine: Engine, file: Path) -> None:
    """Record a flight with its trace, from the engine's card on."""
    page.get_by_role("link", name=f"Record a run of {engine.serial}").click()
    expect(page.get_by_role("heading", name="Before any engine runs")).to_be_visible()
    page.get_by_label("Flight", exact=True).check()
    reached(page, page.get_by_label("Began at")).fill("2026-05-04T07:30")
    reached(page, page.get_by_label("Time in service, in h")).fill("0,9")
    reached(page, page.get_by_label("Recorded trace")).set_input_files(file)
    reached(page, page.get_by_role("button", name="Record the run")).click()


def do_the_steps(page: Page) -> None:
    """Answer both steps, the second one as not applicable with its reason, without leaving the page."""
    address = page.url
    page.get_by_role("button", name="Done", exact=True).first.click()
    expect(page.locator("#notices")).to_contain_text("Step 1 is answered.")
    second = page.get_by_role("form", name="2. Check the gauge against a calibrated source")
    second.get_by_text("Not done, or it does not apply").click()
    second.get_by_role("button", name="Not applicable").click()
    expect(page.get_by_text("Say why it was not done, or why it does not apply.").first).to_be_visible()
    expect(page.locator(".error-summary")).to_be_focused()
    page.get_by_role("form", name="2. Check the gauge").get_by_label("Reason").fill("Checked last week")
    page.get_by_role("form", name="2. Check the gauge").get_by_role("button", name="Not applicable").click()
    expect(page.get_by_text("Not applicable: Checked last week")).to_be_visible()
    assert page.url == address


def sign(page: Page) -> None:
    """Fill in the end of the inspection, read it, and sign it."""
    page.get_by_role("link", name="Read and sign").click()
    page.get_by_label("Approved for return to service", exact=True).check()
    page.get_by_label("What was inspected and done").fill("Hot section looked at, no fault found.")
    page.get_by_label("Work completed on").fill("2026-05-05")
    page.get_by_label("Your certificate").select_option(index=1)
    page.get_by_role("button", name="Read what you will sign").click()
    expect(page.get_by_text("In respect of the work described here it is approved")).to_be_visible()
    page.get_by_label("Your password, to sign").fill(PASSWORD)
    page.get_by_role("button", name="Sign it").click()


def test_a_recorded_run_to_a_printed_entry(
    sign_in_by_screen: SignIn, at_work: Engine, mechanic: Person, *, inspector: Person, tmp_path: Path
) -> None:
    file = tmp_path / "run.csv"
    file.write_bytes(recording_csv())
    page = sign_in_by_screen(mechanic)
    record(page, at_work, file)

    expect(page.locator(".verdict")).to_contain_text("was above 700 °C for 20.1 s, peak 770 °C: area B")
    expect(page.locator(".verdict")).to_contain_text("Hot section inspection. Before the next flight.")
    expect(page.locator(".narrow-only svg.picture")).to_be_visible()
    expect(page.locator(".wide-only svg.picture")).to_be_hidden()
    page.get_by_role("link", name="Read and sign").click()
    page.get_by_label("Your password, to sign").fill(PASSWORD)
    page.get_by_role("button", name="Sign it").click()
    expect(page.get_by_role("heading", name="Entry 1: Flight recorded")).to_be_visible()
    page.get_by_role("link", name="the run", exact=True).click()
    page.get_by_role("link", name="Go to inspection 1").click()
    do_the_steps(page)

    page = sign_in_by_screen(inspector)
    page.get_by_role("link", name="Open inspections").click()
    page.get_by_role("link", name="1: Hot section inspection").click()
    page.get_by_role("button", name="I have looked at it myself").click()
    expect(page.get_by_text(f"Looked at by {inspector}")).to_be_visible()

    page = sign_in_by_screen(mechanic)
    page.get_by_role("link", name="Open inspections").click()
    page.get_by_role("link", name="1: Hot section inspection").click()
    sign(page)
    expect(page.get_by_role("heading", name="Entry 2: Hot section inspection")).to_be_visible()
    assert Inspection.objects.get().state == "approved"

    link = page.get_by_role("link", name="Print, A4 (PDF)").get_attribute("href")
    printed = page.request.get(f"{page.url.split('/entries')[0]}{link}")
    assert (printed.status, printed.headers["content-type"]) == (200, "application/pdf")
    assert printed.body().startswith(b"%PDF-")
    page.get_by_role("link", name="Engines").click()
    expect(page.get_by_text("Serviceable", exact=True)).to_be_visible()
    assert Run.objects.get().time_in_service_s == 3240


def test_a_number_is_echoed_as_it_will_be_read(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = sign_in(mechanic)
    page.get_by_role("link", name=f"Record a run of {at_work.serial}").click()
    box = reached(page, page.get_by_label("Run time, in h"))
    box.fill("0,4")
    expect(page.get_by_text("Read as 0.4 h (0 h 24 min)")).to_be_visible()
    box.fill("1.234,5")
    expect(page.locator(".echo")).to_have_text("")


def test_the_keyboard_reaches_the_work_and_the_error(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = sign_in(mechanic)
    page.get_by_role("link", name=f"Record a run of {at_work.serial}").click()
    page.locator("form.walked").wait_for()
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the work")).to_be_focused()
    page.keyboard.press("Enter")
    page.wait_for_url("**#work")
    reached(page, page.get_by_role("button", name="Record the run")).click()
    summary = page.locator(".error-summary")
    expect(summary).to_be_focused()
    summary.get_by_role("link", name="What was it?").click()
    expect(page.get_by_label("Ground run")).to_be_focused()


def test_a_server_that_does_not_answer_is_said_in_words(
    sign_in: SignIn, console: list[str], at_work: Engine, mechanic: Person, tmp_path: Path
) -> None:
    file = tmp_path / "run.csv"
    file.write_bytes(recording_csv())
    page = sign_in(mechanic)
    record(page, at_work, file)
    page.get_by_role("link", name="Go to inspection 1").click()
    page.get_by_text("Record a finding").click()
    page.get_by_label("What was found").fill("Nick in blade 7")
    page.context.set_offline(True)
    page.get_by_role("button", name="Record the finding").click()
    expect(page.locator("[data-kept]")).to_contain_text("Kept on this phone")
    page.context.set_offline(False)
    expect(page.locator("[data-sent-strip]")).to_contain_text("All received", timeout=RECEIVED_MS)
    assert Finding.objects.get().text == "Nick in blade 7"
    console.clear()


def test_a_theme_is_chosen_and_kept(sign_in: SignIn, at_work: Engine, mechanic: Person) -> None:
    page = sign_in(mechanic)
    page.get_by_role("button", name="Use the dark theme").click()
    page.reload()
    assert page.locator("html").get_attribute("data-theme") == "dark"
    expect(page.get_by_role("button", name="Use the light theme")).to_be_visible()

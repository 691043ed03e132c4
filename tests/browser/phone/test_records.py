"""Everything that can be recorded without signal besides a plain run."""

import re

import pytest
from playwright.sync_api import expect

from engines.models import Engine, Run
from inspections import states
from inspections.actions import handover_give, inspection_assign
from inspections.actions.handover import HandoverFacts
from inspections.models import Finding, Handover, Inspection
from logbook.actions import run_enter
from logbook.models import Arrival, Concern, Person
from tests.browser.phone.kit import ROWS, Phone
from tests.harness.waits import answer
from tests.logbook.screen_kit import inspection_opened
from tests.runs import facts


@pytest.fixture
def job(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection in the mechanic's hands."""
    return inspection_assign(inspection=inspection_opened(engine, mechanic), to=mechanic, by=mechanic)


def place_of(engine: Engine, name: str) -> int:
    """Return the number that a chart has on the sheet."""
    return [chart.name for chart in engine.engine_type.revisions.get().data.charts].index(name)


def test_what_a_run_calls_for_is_computed_on_the_phone_and_checked_by_the_server(
    phone: Phone, engine: Engine, mechanic: Person
) -> None:
    hot = place_of(engine, "ITT, running")
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    phone.keep_run(engine, **{f"peak_{hot}": "770", f"seconds_{hot}": "20"})
    panel = phone.page.locator("[data-kept]")
    expect(panel).to_contain_text("ITT, running: 770 °C, 20 s; limit 700 °C; area B: Hot section inspection")
    picture = panel.get_by_role("img", name="one excursion on the chart ITT, running")
    expect(picture).to_contain_text("Area B")
    expect(picture.locator(".picture-by-peak")).to_have_count(1)
    expect(panel).to_contain_text("Computed on this phone with limits revision 1; the server will check again.")
    phone.join()
    phone.send()
    phone.emptied()
    judged = Run.objects.get().judgements.get(is_current=True).verdict["excursions"]
    (kept,) = Arrival.objects.get().body["verdict"]["excursions"]
    assert [(kept["chart"], kept["area"], kept["area_possible"])] == [
        (one["chart"], one["area"], one["area_possible"]) for one in judged
    ]
    assert not Concern.objects.filter(kind=Concern.Kind.VERDICT).exists()


def test_steps_a_finding_and_a_handover_are_kept_in_their_order(
    phone: Phone, job: Inspection, mechanic: Person, inspector: Person
) -> None:
    phone.stock(mechanic, f"/inspections/{job.pk}/", f"/inspections/{job.pk}/handover/")
    phone.cut()
    page = phone.go(f"/inspections/{job.pk}/")
    page.get_by_role("button", name="Done", exact=True).first.click()
    expect(page.locator("[data-kept]")).to_contain_text("Step 1 of inspection")
    page.get_by_text("Record a finding").click()
    page.get_by_label("What was found").fill("Nick in blade 7")
    page.get_by_role("button", name="Record the finding").click()
    expect(page.locator("[data-kept]")).to_have_count(2)
    page = phone.go(f"/inspections/{job.pk}/handover/")
    page.wait_for_function("() => document.querySelector('form.walked')")
    for name in ("done", "not_done", "watch_for", "parts_off"):
        if not page.locator(f"[name={name}]").is_visible():
            page.locator("[data-step]:visible [data-way=next]").click()
        page.locator(f"[name={name}]").fill("none")
    page.locator("[data-step]:visible [data-way=next]").click()
    page.locator("[name=told_to]").select_option(label=str(inspector))
    page.get_by_role("button", name="Hand it over").click()
    expect(page.locator("[data-kept]")).to_contain_text("Handover of inspection")
    assert len(phone.rows()[2]["after"]) == 2
    phone.join()
    phone.send()
    phone.emptied()
    assert job.steps.get(position=1).answered_by == mechanic
    assert (Finding.objects.get().text, Handover.objects.get().told_to) == ("Nick in blade 7", inspector)


def test_work_is_begun_taken_and_done_without_signal(
    phone: Phone, job: Inspection, mechanic: Person, inspector: Person
) -> None:
    said = HandoverFacts(done="a", not_done="b", watch_for="c", parts_off="none")
    handover_give(inspection=job, facts=said, told_to=inspector, by=mechanic)
    phone.stock(inspector, f"/inspections/{job.pk}/", "/handover/")
    phone.cut()
    page = phone.go("/handover/")
    page.get_by_role("button", name=f"I, {inspector}, take inspection {job.number}").click()
    expect(page.locator("[data-kept]")).to_contain_text(f"Taking of inspection {job.number}")
    page = phone.go(f"/inspections/{job.pk}/")
    page.get_by_role("button", name="Begin the work").click()
    page.get_by_text("Record a corrective action").click()
    page.get_by_label("What was done").fill("Blended")
    page.get_by_label("Worked to").fill("72-00, revision 3")
    page.get_by_label("Completed on").fill("2026-05-05")
    page.get_by_role("button", name="Record the action").click()
    page.get_by_text("Say how far the cause is known").click()
    page.get_by_label("Cause found").check()
    page.get_by_label("What it was").fill("Bird")
    page.get_by_role("button", name="Record the cause").click()
    expect(page.locator("[data-kept]")).to_have_count(3)
    phone.join()
    phone.send()
    phone.emptied()
    job.refresh_from_db()
    assert (job.assigned_to, job.state, job.cause_text) == (inspector, states.IN_WORK, "Bird")
    assert job.actions.get().performed_by == inspector


def test_signing_says_that_it_needs_signal(phone: Phone, engine: Engine, mechanic: Person) -> None:
    run = run_enter(engine=engine, facts=facts(("ITT, running", 770.0, 20.0)), by=mechanic)
    phone.stock(mechanic, f"/runs/{run.pk}/sign/")
    phone.cut()
    page = phone.go(f"/runs/{run.pk}/sign/")
    expect(page.get_by_role("heading", name="Read and sign")).to_be_visible()
    expect(page.get_by_text("Signing needs signal: the server makes sure that it is you")).to_be_visible()
    expect(page.get_by_role("button", name="Sign it")).to_be_disabled()


def test_an_inspection_that_was_closed_meanwhile_stays_closed(
    phone: Phone, job: Inspection, mechanic: Person, director: Person
) -> None:
    phone.stock(mechanic, f"/inspections/{job.pk}/")
    phone.cut()
    page = phone.go(f"/inspections/{job.pk}/")
    page.get_by_role("button", name="Done", exact=True).first.click()
    expect(page.locator("[data-kept]")).to_be_visible()
    Inspection.objects.filter(pk=job.pk).update(state="approved")
    phone.join()
    phone.send()
    phone.emptied()
    expect(phone.page.get_by_text("the director will settle it.")).to_be_visible()
    assert Inspection.objects.get(pk=job.pk).state == "approved"
    assert job.steps.get(position=1).answer == ""
    page = phone.sign_in(director)
    page.goto(f"{phone.gate.url}/to-settle/")
    expect(page.get_by_text("Arrived after closing").first).to_be_visible()


def test_a_double_tap_keeps_one(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    page = phone.go(f"/engines/{engine.pk}/record/")
    page.wait_for_function("() => document.querySelector('form.walked')")
    page.evaluate("document.querySelector('form.walked').requestSubmit()")
    page.evaluate("document.querySelector('form.walked')?.requestSubmit()")
    expect(page.locator("[data-kept]")).to_be_visible()
    assert len(phone.rows()) == 1


def test_a_half_filled_sheet_outlasts_a_reload_without_signal(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    page = phone.go(f"/engines/{engine.pk}/record/")
    page.get_by_label("Ground run").check()
    expect(page.get_by_text("Kept on this device as you type.")).to_be_visible()
    page.reload()
    expect(page.get_by_label("Ground run")).to_be_checked()


def test_signal_that_goes_while_a_sheet_is_open_loses_nothing(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic)
    page = phone.go(f"/engines/{engine.pk}/record/")
    page.wait_for_function("() => document.querySelector('form.walked')")
    phone.gate.close()
    number = phone.fill_run(remarks="Cut off", began="2026-05-04T07:30")
    phone.gate.open()
    phone.send()
    phone.emptied()
    assert (str(Run.objects.get().pk), Run.objects.get().remarks) == (number, "Cut off")


def test_what_is_unsent_can_be_saved_to_a_file_and_taken_back(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    phone.keep_run(engine, remarks="Saved")
    page = phone.go("/not-sent-yet/")
    with page.expect_download() as download:
        page.get_by_role("button", name="Save to a file").click()
    answer(page, "() => new Promise((done) => { indexedDB.deleteDatabase('embermark').onsuccess = () => done(1); })")
    phone.join()
    phone.sign_in(mechanic)
    page = phone.go("/not-sent-yet/")
    expect(page.get_by_text("Nothing waits on this device.")).to_be_visible()
    page.get_by_label("Take back a file of entries").set_input_files(str(download.value.path()))
    expect(page.get_by_text("1 taken back, 0 known here already.")).to_be_visible()
    kept = page.locator("section").filter(has=page.get_by_role("heading", name="Where it is kept"))
    expect(kept).to_contain_text(re.compile(r"(promised to keep it|may clear it .*)\. [\d.]+ of \d+ MB used\."))
    page.get_by_role("button", name="Send now").click()
    phone.emptied()
    assert Run.objects.get().remarks == "Saved"


def test_it_sends_by_itself_when_the_network_comes_back(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.context.add_init_script("delete window.SyncManager")
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    phone.keep_run(engine)
    phone.join()
    phone.emptied()
    assert Run.objects.count() == 1


def test_signing_out_leaves_what_is_unsent(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    phone.keep_run(engine)
    phone.gate.always = (500, "{}")
    phone.join()
    page = phone.go("/engines/")
    page.get_by_role("button", name="Sign out").click()
    page.wait_for_url("**/sign-in/")
    phone.until(f"async () => !(await ({ROWS})('pages')).length")
    assert len(phone.rows()) == 1
    phone.cut()
    page = phone.go(f"/engines/{engine.pk}/record/")
    expect(page.get_by_text("Nobody was signed in on this phone")).to_be_visible()


def test_a_browser_that_keeps_nothing_says_so(phone: Phone, mechanic: Person) -> None:
    page = phone.sign_in(mechanic)
    page.add_init_script("indexedDB.open = () => { throw new DOMException('no', 'SecurityError'); };")
    phone.go("/not-sent-yet/")
    expect(page.get_by_text("This browser cannot keep entries. Use a normal window, or paper.")).to_be_visible()

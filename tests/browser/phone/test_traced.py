"""A recorder's file without signal: read and judged on the phone, sent after its run, judged again by the server."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from engines.models import ColumnSetup, Engine, Run, TypeRevision
from logbook.models import Concern, Person, Unsigned
from tests.browser.phone.kit import ROWS, Phone
from tests.factories import RunFactory
from tests.harness.waits import pressed_until
from tests.logbook.screen_kit import recording_csv
from tests.logbook.test_screens_traces import MATCHED, UNKNOWN

CALLED = "ITT, running: 770 °C, 20.1 s from 1:29 of the recording on; limit 700 °C; area B: Hot section inspection"
COMPUTED = "Computed on this phone with limits revision 1; the server will check again."
BEGAN = "2026-05-04T07:30"


@pytest.fixture
def card(tmp_path: Path) -> Path:
    """Return a recorder's file as it lies on a memory card."""
    path = tmp_path / "run.csv"
    path.write_bytes(recording_csv())
    return path


def sheet_with(phone: Phone, engine: Engine, file: Path) -> Page:
    """Open the sheet of a run without signal, and choose a file on it."""
    page = phone.go(f"/engines/{engine.pk}/record/")
    page.wait_for_function("() => document.querySelector('form.walked')")
    page.get_by_label("Ground run").check()
    pressed_until(
        page.locator("input[name=trace]").is_visible, page.locator("[data-step]:visible [data-way=next]").click
    )
    page.locator("input[name=trace]").set_input_files(file)
    return page


def kept_run(phone: Phone) -> str:
    """Go back to the start of the sheet, fill in what is needed, and keep it."""
    back = phone.page.locator("[data-step]:visible [data-way=back]")
    pressed_until(lambda: not back.count(), back.click)
    return phone.fill_run(remarks="With a trace", began=BEGAN)


def test_what_a_trace_calls_for_is_computed_on_the_phone_and_checked_by_the_server(
    phone: Phone, engine: Engine, mechanic: Person, card: Path
) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    page = sheet_with(phone, engine, card)
    expect(page.locator("[data-traced]")).to_contain_text(CALLED)
    expect(page.locator("[data-traced]")).to_contain_text(COMPUTED)
    expect(page.locator("[data-traced] svg.picture .picture-curve")).to_have_count(1)
    expect(page.get_by_text("Choose the columns by hand")).to_be_visible()
    number = kept_run(phone)
    expect(page.locator("[data-kept]")).to_contain_text(CALLED)
    expect(page.locator("[data-kept] svg.picture")).to_be_visible()
    card.unlink()
    run, trace = phone.rows()
    assert (run["id"], trace["kind"], trace["after"]) == (number, "trace", [number])
    phone.join()
    phone.send()
    phone.emptied()
    expect(phone.page.get_by_text("The trace is received, and the run is judged with it.")).to_be_visible()
    with Run.objects.get().traces.get().original.open("rb") as original:
        assert original.read() == recording_csv()
    assert not Concern.objects.filter(kind=Concern.Kind.VERDICT).exists()


def test_what_judges_a_file_is_ready_before_one_is_chosen(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    assert not phone.page.workers
    phone.cut()
    with phone.page.expect_worker() as started:
        phone.go(f"/engines/{engine.pk}/record/")
    assert started.value.url.endswith("/judge/worker.js")


def test_columns_are_chosen_on_the_phone_and_used_by_the_server(
    phone: Phone, engine: Engine, mechanic: Person, card: Path
) -> None:
    card.write_bytes(recording_csv(header=UNKNOWN))
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    page = sheet_with(phone, engine, card)
    expect(page.get_by_text("Not every column that the limits need was found.")).to_be_visible()
    for name, value in MATCHED.items():
        box = page.locator(f"#{name.replace('_', '-of-', 1)}")
        box.fill(value) if name.startswith("unit") else box.select_option(value)
    page.locator("#column-of-n1").select_option("T5")
    page.get_by_role("button", name="Read the file so").click()
    expect(page.get_by_text("“T5” is chosen already, for Interstage turbine temperature.")).to_be_visible()
    page.locator("#column-of-n1").select_option("NG")
    page.get_by_role("button", name="Read the file so").click()
    expect(page.locator("[data-traced]")).to_contain_text(CALLED)
    kept_run(phone)
    phone.join()
    phone.send()
    phone.emptied()
    assert Run.objects.get().inspections.get().rule == "area B"
    assert ColumnSetup.objects.filter(header="NG", channel="n1").exists()
    assert not Concern.objects.filter(kind=Concern.Kind.VERDICT).exists()
    # The next time they are known, on the phone as well.
    phone.page.get_by_role("button", name="Send now").click()
    told = f"async () => (await ({ROWS})('facts')).some(({{name, of}}) => name === 'columns' && Object.keys(of).length)"
    phone.until(told)
    phone.cut()
    sheet_with(phone, engine, card)
    expect(phone.page.locator("[data-traced]")).to_contain_text(CALLED)


def test_where_the_server_judges_otherwise_mechanic_and_director_are_told(
    phone: Phone, engine: Engine, mechanic: Person, director: Person, card: Path
) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    sheet_with(phone, engine, card)
    kept_run(phone)
    revision = TypeRevision.objects.get()
    charts = [chart for chart in revision.document["charts"] if chart["name"] != "ITT, running"]
    TypeRevision.objects.update(document={**revision.document, "charts": charts})
    phone.join()
    phone.send()
    phone.emptied()
    differs = "The phone, with limits revision 1: ITT, running, B. The server, with limits revision 1: nothing."
    expect(phone.page.get_by_text(differs)).to_be_visible()
    page = phone.sign_in(director)
    page.goto(f"{phone.gate.url}/to-settle/")
    expect(page.get_by_text(differs).first).to_be_visible()


@pytest.mark.parametrize("place", ["where the run was kept", "not sent yet"])
def test_a_trace_of_a_run_that_is_itself_unsent_waits_for_it_and_follows_it(
    place: str, phone: Phone, engine: Engine, mechanic: Person, card: Path
) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    number, page = phone.keep_run(engine, began=BEGAN), phone.page
    if place == "not sent yet":
        phone.go("/not-sent-yet/")
    page.get_by_text("Add the recorder's file").click()
    expect(page.get_by_label("The recorder's file")).to_be_enabled()
    page.get_by_label("The recorder's file").set_input_files(card)
    expect(page.locator("[data-traced]")).to_contain_text(CALLED)
    page.get_by_role("button", name="Add the trace").click()
    expect(page.get_by_text(f"Trace of Run of {engine.serial}. It goes to the server by itself")).to_be_visible()
    run, trace = phone.rows()
    assert (run["id"], trace["about"], trace["after"]) == (number, number, [number])
    # While the run is refused, its trace stays where it is.
    phone.gate.refused = {run["id"]: (422, '{"detail": "No.", "code": "sheet_refused", "fields": {}}')}
    phone.join()
    phone.send()
    expect(page.get_by_text("Needs you - No.")).to_be_visible()
    expect(page.locator("[data-item]").nth(1)).to_contain_text("Goes after what it belongs to.")
    assert (Run.objects.count(), [row["state"] for row in phone.rows()]) == (0, ["refused", "kept"])
    phone.gate.refused = {}
    page.get_by_role("link", name="Put it right").click()
    expect(page.get_by_role("alert").filter(has_text="Needs you: No.")).to_be_visible()
    assert phone.fill_run(remarks="", began=BEGAN) == number
    phone.emptied()
    assert Run.objects.get().inspections.get().rule == "area B"


def test_a_trace_is_added_to_a_run_that_waits_to_be_signed_and_put_right(
    phone: Phone, engine: Engine, mechanic: Person, card: Path
) -> None:
    run = RunFactory.create(engine=engine, recorded_by=mechanic)
    Unsigned.objects.create(operator=run.operator, engine=engine, run=run, recorded_by=mechanic)
    address = f"/runs/{run.pk}/trace/"
    phone.stock(mechanic, address)
    phone.cut()
    page = phone.go(address)
    page.get_by_role("button", name="Add the trace").click()
    expect(page.get_by_role("alert").filter(has_text="Choose the recorder's file.")).to_be_visible()
    page.get_by_label("The recorder's file").set_input_files(card)
    expect(page.locator("[data-traced]")).to_contain_text(CALLED)
    page.get_by_role("button", name="Add the trace").click()
    expect(page.locator("[data-kept]")).to_contain_text("Trace of ")
    (row,) = phone.rows()
    phone.gate.refused = {row["id"]: (422, '{"detail": "No column fits.", "code": "trace_unusable", "fields": {}}')}
    phone.join()
    phone.send()
    phone.page.get_by_role("link", name="Put it right").click()
    expect(page.get_by_role("alert").filter(has_text="Needs you: No column fits.")).to_be_visible()
    expect(page.locator("[data-traced]")).to_contain_text(CALLED)
    phone.gate.refused = {}
    page.get_by_role("button", name="Add the trace").click()
    phone.emptied()
    assert run.inspections.get().rule == "area B"

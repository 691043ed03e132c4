"""A store that an older program made, with items inside, under a newer one: nothing is lost, and all of it is sent."""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from engines.models import Engine, Run
from logbook.models import Person
from tests.browser.entering import come_in
from tests.browser.phone.gate import OUTBOX, Gate
from tests.browser.phone.kit import PHONE, Phone
from tests.harness.waits import PATIENCE_S, answer
from tests.layers import ROOT
from tests.logbook.outbox.kit import run_item

STORE = ROOT / "logbook" / "static" / "logbook" / "js" / "outbox" / "store.js"
VERSION, STORES = "const VERSION = 1;", "const STORES = {"
NO_SCRIPTS = "/static/logbook/css/outbox.css"
OLD_STORES = {"outbox": "id", "facts": "name"}
ALL_STORES = {**OLD_STORES, "receipts": "id", "pages": "key"}
MADE = """({ version, stores, items }) => new Promise((done, fail) => {
  const asked = indexedDB.open("embermark", version);
  asked.onerror = asked.onblocked = () => fail(new Error("not made"));
  asked.onupgradeneeded = () => {
    for (const [name, keyPath] of Object.entries(stores)) asked.result.createObjectStore(name, { keyPath });
    for (const item of items) asked.transaction.objectStore("outbox").add(item);
    asked.transaction.objectStore("facts").add({ name: "seq", seq: items.length });
  };
  asked.onsuccess = () => (asked.result.close(), done(true));
})"""
STANDS = """() => new Promise((done) => {
  const asked = indexedDB.open("embermark");
  asked.onsuccess = () => {
    const { version, objectStoreNames } = asked.result;
    asked.result.close();
    done({ version, stores: [...objectStoreNames] });
  };
})"""


@pytest.fixture
def phone(browser: Browser, gate: Gate, engine: Engine, mechanic: Person) -> Iterator[Phone]:
    """Return a phone whose scripts come from the server each time, so that a window can be given other ones."""
    context = browser.new_context(service_workers="block", viewport=PHONE)  # type: ignore[arg-type]
    context.set_default_timeout(1000 * PATIENCE_S)
    come_in(context, mechanic, gate.url)
    yield Phone(context, gate)
    context.close()


def next_program(page: Page) -> None:
    """Give a window the program of a later build, which raises the store's version and adds a store."""
    today = STORE.read_text(encoding="utf8")
    assert VERSION in today
    assert STORES in today
    later = today.replace(VERSION, "const VERSION = 2;").replace(STORES, f'{STORES} later: "id",')

    def given(route: Route) -> None:
        route.fulfill(body=later, content_type="text/javascript")

    page.route("**/outbox/store.js", given)


def kept_by_older_programs(engine: Engine, mechanic: Person) -> list[dict[str, Any]]:
    """Return a run in each format of items that there was, as the program of its day kept it."""
    state = {"authorName": str(mechanic), "state": "kept", "tries": 0, "nextAt": 0, "after": []}
    place = {"title": f"Ground run of {engine.serial}", "path": f"/engines/{engine.pk}/record/"}
    runs = [
        run_item(engine, mechanic, ["remarks", f"Format {n}"], format=n, seq=n, **place, **state) for n in (1, 2, 3)
    ]
    for run in runs:
        began = f"2026-05-0{run['seq']}T07:30"
        run["fields"] = [[name, began if name == "started_at" else typed] for name, typed in run["fields"]]
        del run["sent_at"]
    for older in runs[:2]:
        del older["kept_offset_min"]
    runs[0]["boxes"] = dict(runs[0].pop("fields"))
    return runs


@pytest.mark.parametrize(
    ("stores", "is_next", "stands"),
    [
        (ALL_STORES, False, {"version": 1, "stores": sorted(ALL_STORES)}),
        (ALL_STORES, True, {"version": 2, "stores": sorted([*ALL_STORES, "later"])}),
        (OLD_STORES, True, {"version": 2, "stores": sorted([*ALL_STORES, "later"])}),
    ],
    ids=["todays program", "a later program", "a later program over two stores"],
)
def test_what_older_programs_kept_is_all_there_and_is_sent(
    stores: dict[str, str], *, is_next: bool, stands: dict[str, Any], phone: Phone, engine: Engine, mechanic: Person
) -> None:
    items = kept_by_older_programs(engine, mechanic)
    page = phone.go(NO_SCRIPTS)
    assert answer(page, MADE, {"version": 1, "stores": stores, "items": items})
    if is_next:
        next_program(page)
    phone.gate.broken = {OUTBOX}
    phone.go("/not-sent-yet/")
    expect(page.get_by_role("heading", name=f"3 entries by {mechanic}")).to_be_visible()
    expect(page.locator("[data-item]")).to_have_count(3)
    assert answer(page, STANDS) == stands
    assert phone.rows() == items
    phone.gate.broken = set()
    page.get_by_role("button", name="Send now").click()
    phone.emptied()
    sent = {str(run.pk): run.remarks for run in Run.objects.all()}
    assert sent == {item["id"]: f"Format {item['format']}" for item in items}
    assert {row["id"] for row in phone.rows("receipts")} == set(sent)


def test_a_window_of_the_older_program_goes_on_keeping_when_a_later_one_was_loaded(
    phone: Phone, engine: Engine, mechanic: Person
) -> None:
    phone.gate.broken = {OUTBOX}
    first = phone.keep_run(engine, remarks="Before")
    page = phone.go(f"/engines/{engine.pk}/record/")
    page.wait_for_function("() => document.querySelector('form.walked')")
    other = phone.context.new_page()
    next_program(other)
    other.goto(f"{phone.gate.url}/not-sent-yet/")
    expect(other.locator("[data-item]")).to_have_count(1)
    assert answer(other, STANDS)["version"] == 2
    second = phone.fill_run(remarks="After", began="2026-05-05T07:30")
    expect(other.locator("[data-item]")).to_have_count(2)
    phone.gate.broken = set()
    other.get_by_role("button", name="Send now").click()
    phone.emptied()
    assert {str(run.pk): run.remarks for run in Run.objects.all()} == {first: "Before", second: "After"}

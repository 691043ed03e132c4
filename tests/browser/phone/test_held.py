"""A finger faster than the page's scripts: what is pressed before they are there is held, and kept when they are."""

from collections.abc import Iterator

import pytest
from django.contrib.staticfiles import finders
from playwright.sync_api import Browser, Route, expect

from engines.models import Engine
from inspections.actions import inspection_assign
from inspections.models import Inspection
from logbook.models import Person
from tests.browser.phone.gate import Gate
from tests.browser.phone.kit import PHONE, Phone
from tests.logbook.screen_kit import inspection_opened

# A disk that takes its time, as a phone's does: the trial of the store does not end before it is let.
SLOW_DISK = """
  window.diskMay = false;
  const { get } = IDBObjectStore.prototype;
  const busy = (rows, asked, key) => {
    const again = get.call(rows, key);
    again.onsuccess = () => (window.diskMay ? asked.dispatchEvent(new Event("success")) : busy(rows, asked, key));
  };
  IDBObjectStore.prototype.get = function (key) {
    const asked = get.call(this, key);
    if (key !== "person" || !document.querySelector("form[data-outbox]")) return asked;
    asked.addEventListener("success", (event) => {
      if (window.diskMay) return;
      event.stopImmediatePropagation();
      busy(this, asked, key);
    });
    return asked;
  };
"""


@pytest.fixture
def job(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection in the mechanic's hands."""
    return inspection_assign(inspection=inspection_opened(engine, mechanic), to=mechanic, by=mechanic)


@pytest.fixture
def plain(browser: Browser, gate: Gate, mechanic: Person) -> Iterator[Phone]:
    """Return a phone that has no program yet, and gets its scripts from the test."""
    context = browser.new_context(service_workers="block", viewport=PHONE)  # type: ignore[arg-type]
    phone = Phone(context, gate)
    yield phone
    context.close()


def given(route: Route) -> None:
    """Give a static file without the network."""
    name = route.request.url.partition("/static/")[2]
    route.fulfill(path=str(finders.find(name)))


def opened_without_scripts(phone: Phone, job: Inspection) -> Route:
    """Open an inspection, and return the request for its scripts, which waits."""
    waiting: list[Route] = []
    phone.page.route("**/static/logbook/js/app.js", lambda route: waiting.append(route))
    with phone.page.expect_request("**/static/logbook/js/app.js"):
        phone.page.goto(f"{phone.gate.url}/inspections/{job.pk}/", wait_until="commit")
    expect(phone.page.get_by_role("button", name="Done", exact=True).first).to_be_visible()
    return waiting[0]


def test_what_is_pressed_before_the_scripts_are_there_is_kept(plain: Phone, job: Inspection, mechanic: Person) -> None:
    page = plain.sign_in(mechanic)
    page.route("**/static/**", given)
    waiting = opened_without_scripts(plain, job)
    plain.gate.close()
    page.get_by_role("button", name="Done", exact=True).first.click(no_wait_after=True)
    given(waiting)
    expect(page.locator("[data-kept]")).to_contain_text("Step 1 of inspection")
    (row,) = plain.rows()
    assert dict(row["fields"])["step1-answer"] == "done"


def test_what_is_pressed_before_it_is_known_who_writes_is_kept(phone: Phone, job: Inspection, mechanic: Person) -> None:
    phone.stock(mechanic, f"/inspections/{job.pk}/")
    phone.cut()
    phone.page.add_init_script(SLOW_DISK)
    page = phone.go(f"/inspections/{job.pk}/")
    page.get_by_role("button", name="Done", exact=True).first.click(no_wait_after=True)
    expect(page.locator("[data-kept]")).to_have_count(0)
    assert phone.rows() == []
    page.evaluate("window.diskMay = true")
    expect(page.locator("[data-kept]")).to_contain_text("Step 1 of inspection")
    assert len(phone.rows()) == 1


def test_a_page_whose_scripts_never_come_works_as_one_without_them(
    plain: Phone, job: Inspection, mechanic: Person
) -> None:
    page = plain.sign_in(mechanic)
    waiting = opened_without_scripts(plain, job)
    page.get_by_role("button", name="Done", exact=True).first.click(no_wait_after=True)
    waiting.abort()
    expect(page.get_by_text("Step 1 is answered.")).to_be_visible()
    assert job.steps.get(position=1).answered_by == mechanic

"""The program on the phone: installable, never replaced under somebody's hands, and removable without loss."""

import json

import pytest
from playwright.sync_api import Page, expect

from engines.models import Engine, Run
from logbook.models import Person
from tests.browser.phone.kit import Phone
from tests.harness.waits import answer

CACHES = "async () => (await caches.keys()).filter((name) => name.startsWith('embermark-program-'))"

UPDATED = """async () => {
  const held = await navigator.serviceWorker.getRegistration();
  const found = new Promise((done) => (held.onupdatefound = () => done(held.installing)));
  held.update().catch(() => undefined);
  const made = await found;
  while (made.state === "installing") {
    await new Promise((done) => made.addEventListener("statechange", done, { once: true }));
  }
  return made.state;
}"""


@pytest.fixture
def deploy(monkeypatch: pytest.MonkeyPatch) -> object:
    """Return a function that puts another build on the server."""
    return lambda version: monkeypatch.setattr("logbook.views.phone.shell_version", lambda: version)


def test_the_browser_finds_it_installable(phone: Phone, mechanic: Person) -> None:
    page = phone.stock(mechanic)
    session = phone.context.new_cdp_session(page)
    stated = session.send("Page.getAppManifest")
    assert stated["errors"] == []
    assert json.loads(stated["data"])["name"] == "Embermark"
    errors = {error["errorId"] for error in session.send("Page.getInstallabilityErrors")["installabilityErrors"]}
    # The tests' own windows remember nothing when they close, and so can install nothing.
    assert errors <= {"in-incognito"}


def waiting(page: Page) -> bool:
    """Return whether a new build waits."""
    return bool(answer(page, "async () => Boolean((await navigator.serviceWorker.getRegistration()).waiting)"))


def test_a_new_build_waits_for_the_person_and_a_form_in_progress_stays(
    phone: Phone, engine: Engine, mechanic: Person, deploy: object
) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    for hour in (1, 2, 3):
        phone.keep_run(engine, began=f"2026-05-04T0{hour}:30")
    phone.gate.always = (500, "{}")
    phone.join()
    page = phone.go(f"/engines/{engine.pk}/record/")
    page.get_by_label("Flight", exact=True).check()
    before = answer(page, CACHES)
    deploy("next")  # type: ignore[operator]
    answer(page, "async () => { await (await navigator.serviceWorker.getRegistration()).update(); }")
    phone.until("async () => Boolean((await navigator.serviceWorker.getRegistration()).waiting)")
    expect(page.get_by_label("Flight", exact=True)).to_be_checked()
    expect(page.locator("[data-new-version]")).to_have_count(0)
    assert len(phone.rows()) == 3
    page = phone.go("/engines/")
    expect(page.get_by_text("New version ready.")).to_be_visible()
    assert waiting(page)
    assert set(before) < set(answer(page, CACHES))
    page.get_by_role("button", name="Load it").click()
    phone.until("async () => !(await navigator.serviceWorker.getRegistration()).waiting")
    phone.until("async () => (await caches.keys()).join() === 'embermark-program-next'")
    phone.gate.always = None
    phone.send()
    phone.emptied()
    assert Run.objects.count() == 3


def test_taking_the_worker_away_leaves_what_is_unsent(phone: Phone, engine: Engine, mechanic: Person) -> None:
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    phone.cut()
    phone.keep_run(engine)
    answer(
        phone.page,
        "async () => { await (await navigator.serviceWorker.getRegistration()).unregister();"
        " for (const name of await caches.keys()) await caches.delete(name); }",
    )
    assert len(phone.rows()) == 1
    phone.join()
    phone.send()
    phone.emptied()
    assert Run.objects.count() == 1


def test_a_build_is_kept_whole_or_not_at_all(phone: Phone, mechanic: Person, deploy: object) -> None:
    page = phone.stock(mechanic, "/engines/")
    before = answer(page, CACHES)
    phone.gate.broken = {"/offline/"}
    deploy("broken")  # type: ignore[operator]
    ended = answer(page, UPDATED)
    assert ended == "redundant"
    assert not waiting(page)
    phone.cut()
    phone.go("/engines/")
    expect(page.get_by_role("heading", name="Engines")).to_be_visible()
    assert before[0] in answer(page, CACHES)

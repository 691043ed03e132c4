"""What a person does with a phone, and what stands on it and on the server afterwards."""

import time
from typing import Any

from playwright.sync_api import BrowserContext, Error, Locator, Page, expect

from engines.models import Engine
from logbook.models import Person
from tests.browser.entering import come_in, somebody_is_in
from tests.browser.phone.gate import Gate
from tests.harness.waits import PATIENCE_S, POLL_MS, answer
from tests.logbook.screen_kit import PASSWORD

MOST_PARTS = 60  # of one sheet
PHONE = {"width": 360, "height": 740}
ROWS = """async (name) => {
  const asked = indexedDB.open("embermark");
  const base = await new Promise((done, fail) => {
    asked.onsuccess = () => done(asked.result);
    asked.onerror = asked.onblocked = fail;
  });
  if (!base.objectStoreNames.contains(name)) { base.close(); return []; }
  const all = base.transaction(name).objectStore(name).getAll();
  const rows = await new Promise((done, fail) => { all.onsuccess = () => done(all.result); all.onerror = fail; });
  base.close();
  return rows.map(({ file, ...row }) => (file ? { ...row, file: { name: file.name } } : row));
}"""
STEP = "[data-step]:not([hidden])"
NAMES = "(boxes) => boxes.map(({ name }) => name)"
WAYS = "(buttons) => buttons.map(({ dataset }) => dataset.way)"
READY = "() => navigator.serviceWorker.ready.then((held) => held.active.state === 'activated')"


class Phone:
    """One browser with a memory of its own, behind a gate."""

    def __init__(self, context: BrowserContext, gate: Gate) -> None:
        self.context, self.gate = context, gate
        self.page: Page = context.new_page()

    def go(self, path: str) -> Page:
        """Open an address of the site."""
        self.page.goto(f"{self.gate.url}{path}")
        return self.page

    def sign_in(self, person: Person) -> Page:
        """Let a person in, by the sign-in screen only where somebody else was there before."""
        if somebody_is_in(self.context):
            return self.sign_in_by_screen(person)
        come_in(self.context, person, self.gate.url)
        return self.go("/engines/")

    def sign_in_by_screen(self, person: Person) -> Page:
        """Sign a person in, whoever was there before."""
        page = self.go("/sign-in/")
        leave = page.get_by_role("button", name="Sign out")
        if leave.count():
            leave.click()
            page.wait_for_url("**/sign-in/")
        page.get_by_label("Name you sign in with").fill(person.username)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url("**/engines/")
        return page

    def stock(self, person: Person, *paths: str) -> Page:
        """Sign a person in where there is signal, and wait until the pages are kept that will be needed."""
        page = self.sign_in(person)
        self.stocked(*paths)
        return page

    def stocked(self, *paths: str) -> None:
        """Wait until the program is there, and the pages are kept that will be needed."""
        answer(self.page, READY)
        for path in paths:
            kept = f"async () => (await ({ROWS})('pages')).some(({{path}}) => path === '{path}')"
            self.until(kept)

    def until(self, script: str) -> None:
        """Wait until a promise of the page is true."""
        deadline = time.monotonic() + PATIENCE_S
        while not self._is(script):
            assert time.monotonic() < deadline, f"this never came true: {script}; the phone has {self.rows()}"
            self.page.wait_for_timeout(POLL_MS)

    def _is(self, script: str) -> bool:
        """Return whether a promise of the page is true; a page that is just being loaded says nothing yet."""
        try:
            return bool(answer(self.page, script))
        except Error as error:
            if "context was destroyed" not in str(error):
                raise
            return False

    def cut(self) -> None:
        """Take the signal away."""
        self.context.set_offline(True)

    def join(self) -> None:
        """Give the signal back."""
        self.context.set_offline(False)

    def rows(self, name: str = "outbox") -> list[dict[str, Any]]:
        """Return the rows of a store of the device, in the order of their numbers."""
        found: list[dict[str, Any]] = answer(self.page, ROWS, name)
        return sorted(found, key=lambda row: row.get("seq", 0))

    def strip(self) -> Locator:
        """Return the line at the top of the screen."""
        return self.page.locator("[data-sent-strip]")

    def keep_run(self, engine: Engine, *, remarks: str = "", began: str = "2026-05-04T07:30", **boxes: str) -> str:
        """Fill the sheet of a run as it is kept, without signal, and return its number."""
        self.go(f"/engines/{engine.pk}/record/")
        expect(self.page.get_by_role("heading", name=f"Record a run of {engine.serial}")).to_be_visible()
        self.page.wait_for_function("() => document.querySelector('form.walked')")
        return self.fill_run(remarks=remarks, began=began, **boxes)

    def fill_run(self, *, remarks: str, began: str, **boxes: str) -> str:
        """Fill the sheet that is open, part by part, and keep it."""
        page = self.page
        typed = {"started_at": began, "remarks": remarks, **boxes}
        page.get_by_label("Ground run").check()
        for _ in range(MOST_PARTS):
            for name in typed.keys() & set(page.locator(f"{STEP} [name]").evaluate_all(NAMES)):
                page.locator(f"[name='{name}']").fill(typed.pop(name))
            # The remarks are on the last part of the sheet, to which there is a way from every other but the first.
            ways = set(page.locator(f"{STEP} [data-way]").evaluate_all(WAYS))
            wanted = "end" if typed.keys() <= {"remarks"} and "end" in ways else "next"
            if wanted not in ways:
                break
            page.locator(f"{STEP} [data-way={wanted}]").click()
        page.get_by_role("button", name="Record the run").click()
        panel = page.locator("[data-kept]")
        expect(panel).to_contain_text("Kept on this phone")
        return str(panel.get_attribute("data-kept"))

    def keep_finding(self, address: str, words: str) -> Locator:
        """Write a finding on the kept screen of an inspection, and return what is then said of it."""
        page = self.go(address)
        page.get_by_text("Record a finding").click()
        page.get_by_label("What was found").fill(words)
        page.get_by_role("button", name="Record the finding").click()
        panel = page.locator("[data-kept]")
        expect(panel).to_contain_text("Kept on this phone")
        return panel

    def send(self) -> None:
        """Press Send now."""
        self.go("/not-sent-yet/")
        self.page.get_by_role("button", name="Send now").click()

    def emptied(self) -> None:
        """Wait until nothing waits on the phone."""
        self.until(f"async () => !(await ({ROWS})('outbox')).length")

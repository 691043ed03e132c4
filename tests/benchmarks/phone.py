"""What the phone without signal takes, the processor slowed to a quarter; nothing is asserted of it.

Cold from the icon to a run's sheet, from a tap to its effect, and from Record to "Kept on this phone" with 200 entries
kept already.
"""

import tempfile
import time
from collections.abc import Callable
from statistics import median

from playwright.sync_api import BrowserContext, Page, sync_playwright

from tests.harness.chromium import chromium_ensure
from tests.harness.waits import answer, pressed_until
from tests.lighthouse import Browser, demo_served, main_screens

SLOWER, ROUNDS, ENTRIES = 4, 5, 200
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"]
WALKED = "form.walked [data-step]:not([hidden])"
STORED = """async (path) => {
  const asked = indexedDB.open("embermark");
  const base = await new Promise((done) => (asked.onsuccess = () => done(asked.result)));
  const all = base.transaction("pages").objectStore("pages").getAll();
  const rows = await new Promise((done) => (all.onsuccess = () => done(all.result)));
  base.close();
  return rows.some((row) => row.path === path);
}"""
FILL = """async ([count, about]) => {
  const { box } = await import("/static/logbook/js/outbox/box.js");
  const said = { kind: "run", author: 0, authorName: "Nobody", about, title: "Run", path: "/", fields: [] };
  for (let n = 0; n < count; n++) await box.keep([{ ...said, id: crypto.randomUUID() }]);
}"""
TAPPED = """() => new Promise((done) => {
  const from = performance.now();
  document.querySelector("[data-step]:not([hidden]) [data-way=next]").click();
  requestAnimationFrame(() => setTimeout(() => done(performance.now() - from)));
})"""
KEPT = """() => new Promise((done) => {
  const from = performance.now();
  new MutationObserver(() => document.querySelector("[data-kept]") && done(performance.now() - from))
    .observe(document.body, { childList: true, subtree: true });
  document.querySelector("form[data-outbox]").requestSubmit();
})"""


def slowed(context: BrowserContext) -> Page:
    """Open a window whose processor is slowed."""
    page = context.new_page()
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    return page


def stocked(context: BrowserContext, site: Browser, sheet: str) -> None:
    """Keep the program and the pages, and then take the signal away."""
    context.add_cookies([{"name": c.name, "value": str(c.value), "url": site.site} for c in site.jar])
    page = context.new_page()
    page.goto(f"{site.site}/engines/")
    answer(page, "() => navigator.serviceWorker.ready.then(() => true)")
    pressed_until(lambda: bool(answer(page, STORED, sheet)), lambda: page.wait_for_timeout(200), most=300)
    answer(page, FILL, [ENTRIES, "1"])
    page.close()
    context.set_offline(True)


def started(context: BrowserContext, address: str) -> Page:
    """Open a run's sheet, and return it when it can be used."""
    page = slowed(context)
    page.goto(address)
    page.locator(WALKED).wait_for()
    return page


def taken(work: Callable[[], object]) -> float:
    """Return how long something takes. [ms]"""
    start = time.perf_counter()
    work()
    return 1000 * (time.perf_counter() - start)


def measured(context: BrowserContext, address: str) -> dict[str, list[float]]:
    """Return each time, round by round. [ms]"""
    found: dict[str, list[float]] = {"cold to a sheet": [], "tap to effect": [], "kept on this phone": []}
    for _ in range(ROUNDS):
        found["cold to a sheet"].append(taken(lambda: started(context, address).close()))
        page = started(context, address)
        found["tap to effect"].append(answer(page, TAPPED))
        found["kept on this phone"].append(answer(page, KEPT))
        page.close()
    return found


def main() -> None:
    """Serve the demo, measure, and print."""
    aims = {"cold to a sheet": 1500, "tap to effect": 100, "kept on this phone": 300}
    with tempfile.TemporaryDirectory() as folder, demo_served(folder) as site, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_ensure(), args=FLAGS)
        context = browser.new_context(viewport={"width": 360, "height": 740})
        sheet = main_screens(site)["record a run"]
        stocked(context, site, sheet)
        for name, times in measured(context, f"{site.site}{sheet}").items():
            print(f"{name:<22} {median(times):>8.0f} ms   aim {aims[name]} ms", flush=True)
        browser.close()


if __name__ == "__main__":
    main()

"""Judging a long run in a browser slowed to a phone's pace, against what a person is asked to wait.

Once as a sheet without signal has it, which made the judging fast when it was opened, and once with nothing compiled.
"""

from statistics import median

from playwright.sync_api import Browser, CDPSession, sync_playwright

from tests.benchmarks.timing import Ratio
from tests.harness.chromium import chromium_ensure
from tests.harness.waits import answer
from tests.judging.long_trace import CHANNELS, HOURS, JUDGE_KEPT, KEEP, RATE, WARM, long_run
from tests.judging.page import scripts_served, told

SLOW_DOWN = 4
AIM_MS = 300.0
ROUNDS = 5
# The noise on the channels: with little of it some hundred excursions, with much over a thousand.
STATES = {"ready": True, "nothing compiled": False}
NOISES = {"a hundred excursions": 0.02, "a thousand of them": 1.0}


def busy(session: CDPSession) -> float:
    """Return how long the page's thread has held a processor, which no other program's work adds to. [s]"""
    metrics = {metric["name"]: metric["value"] for metric in session.send("Performance.getMetrics")["metrics"]}
    return float(metrics["TaskDuration"])


def judged(browser: Browser, address: str, noise: float, is_ready: bool) -> float:
    """Return how long the first judging of a page takes, made ready for it or with nothing compiled yet. [ms]"""
    page = browser.new_page()
    page.goto(address)
    session = page.context.new_cdp_session(page)
    session.send("Performance.enable", {"timeDomain": "threadTicks"})
    told(page, KEEP, long_run(noise))
    if is_ready:
        told(page, WARM, long_run(noise))
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOW_DOWN})
    before = busy(session)
    answer(page, JUDGE_KEPT)
    taken = busy(session) - before
    page.close()
    return 1000 * taken


def ratios() -> list[Ratio]:
    """Return the cost of the first judging on a page over the wait that is allowed."""
    with scripts_served() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_ensure(), args=["--no-sandbox"])
        costs = {
            f"{name}, {state}": median(judged(browser, address, noise, is_ready) for _ in range(ROUNDS))
            for name, noise in NOISES.items()
            for state, is_ready in STATES.items()
        }
        browser.close()
    what = f"{HOURS} h, {CHANNELS} channels, {RATE} Hz, {SLOW_DOWN}x slower"
    return [Ratio(f"{what}, {name} : 300 ms", cost, AIM_MS, "at most 1") for name, cost in costs.items()]

"""Judging a long run in a browser slowed to a phone's pace, against what a person is asked to wait."""

from statistics import median

from playwright.sync_api import Browser, sync_playwright

from tests.benchmarks.timing import Ratio
from tests.harness.chromium import chromium_ensure
from tests.judging.long_trace import CHANNELS, HOURS, RATE, TIME, long_run
from tests.judging.page import scripts_served, told

SLOW_DOWN = 4
AIM_MS = 300.0
ROUNDS = 5
# The noise on the channels: with little of it some hundred excursions, with much over a thousand.
NOISES = {"a hundred excursions": 0.02, "a thousand of them": 1.0}


def cold(browser: Browser, address: str, noise: float) -> float:
    """Return how long the first judging of a page takes, with nothing compiled yet. [ms]"""
    page = browser.new_page()
    page.goto(address)
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOW_DOWN})
    taken = told(page, TIME, long_run(noise, rounds=1))["taken"]
    page.close()
    return float(taken[0])


def ratios() -> list[Ratio]:
    """Return the cost of the first judging on a page over the wait that is allowed."""
    with scripts_served() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_ensure(), args=["--no-sandbox"])
        costs = {name: median(cold(browser, address, noise) for _ in range(ROUNDS)) for name, noise in NOISES.items()}
        browser.close()
    what = f"{HOURS} h, {CHANNELS} channels, {RATE} Hz, {SLOW_DOWN}x slower"
    return [Ratio(f"{what}, {name} : 300 ms", cost, AIM_MS, "at most 1") for name, cost in costs.items()]

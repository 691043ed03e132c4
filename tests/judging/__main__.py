"""Put many random cases to the phone's engine, the server's and the twin, and say where they differ."""

import argparse
import time

from playwright.sync_api import sync_playwright

from tests.harness.chromium import chromium_ensure
from tests.judging.agreeing import Told, differing, verdicts_told
from tests.judging.cases import drawn
from tests.judging.page import scripts_served

USUAL = 10_000
BATCH = 2_000


def main() -> None:
    """Judge, compare, and print one line for each comparison; end with 1 where anything differs."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("cases", type=int, nargs="?", default=USUAL)
    begun = time.monotonic()
    cases = drawn(reader.parse_args().cases)
    with scripts_served() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_ensure(), args=["--no-sandbox"])
        page = browser.new_page()
        page.goto(address)
        batches = [verdicts_told(page, cases[k : k + BATCH]) for k in range(0, len(cases), BATCH)]
        browser.close()
    found = {what: sum(len(differing(batch[what])) for batch in batches) for what in Told}
    for what, differ in found.items():
        print(f"{what.value}: {differ} of {len(cases)} cases differ")
    print(f"{time.monotonic() - begun:.0f} s")
    raise SystemExit(1 if any(found.values()) else 0)


if __name__ == "__main__":
    main()

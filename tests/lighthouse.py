"""Score the six main screens of the demo on a phone; exit with 1 below 95 for performance or 100 for accessibility.

Needs Node 20, npm and Chromium; Lighthouse itself is put into a temporary folder, or taken from the one that
``--lighthouse`` names.
"""

import json
import os
import re
import subprocess
import sys
import tempfile
import time
import urllib.request
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.parse import urlencode

from tests.harness.chromium import chromium_ensure
from tests.harness.surroundings import surroundings
from tests.layers import ROOT

VERSION = "12.2.3"
LEAST = {"performance": 95, "accessibility": 100}
PASSWORD_SAID, DIRECTOR_SAID = r"with the password “([^”]+)”", r"(?m)^ +(\w+) .*, director$"
FLAGS = "--headless=new --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-component-update"
START_S, AUDIT_S = 300, 180
TRIES = 3  # as the browser now and then records no start of a page, which is no score


class Browser:
    """Somebody who opens pages of the demo and keeps their cookies."""

    def __init__(self, site: str) -> None:
        self.site, self.jar = site, CookieJar()
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self.jar))

    def page(self, address: str, **sent: str) -> str:
        """Return a page, sending a form where there is something to send."""
        body = urlencode(sent).encode() if sent else None
        with self.opener.open(f"{self.site}{address}", body, timeout=30) as answer:
            return str(answer.read().decode())

    def sign_in(self, name: str, password: str) -> None:
        """Sign in through the screen."""
        token = re.findall(r'name="csrfmiddlewaretoken" value="([^"]+)"', self.page("/sign-in/"))[0]
        self.page("/sign-in/", csrfmiddlewaretoken=token, login=name, password=password)

    def cookies(self) -> str:
        """Return the cookies as a header."""
        return "; ".join(f"{cookie.name}={cookie.value}" for cookie in self.jar)


@contextmanager
def demo_served(folder: str) -> Iterator[Browser]:
    """Serve the demo from a data folder of its own; yield its director, signed in as it says."""
    environment = {**surroundings(os.environ), "EMBERMARK_DATA": folder, "PYTHONUNBUFFERED": "1"}
    said = Path(folder) / "said.txt"
    with said.open("w") as out:
        server = subprocess.Popen([sys.executable, "manage.py", "demo"], cwd=ROOT, env=environment, stdout=out)
        try:
            browser = Browser(site_said(said))
            words = said.read_text()
            browser.sign_in(re.findall(DIRECTOR_SAID, words)[0], re.findall(PASSWORD_SAID, words)[0])
            yield browser
        finally:
            server.terminate()
            server.wait(timeout=30)


def site_said(said: Path) -> str:
    """Return the address that the demo prints, as soon as it answers."""
    end = time.monotonic() + START_S
    while time.monotonic() < end:
        for site in re.findall(r"Sign in at (http://[^/]+)/", said.read_text()):
            try:
                urllib.request.urlopen(f"{site}/sign-in/", timeout=5).close()
            except OSError:  # not there yet, or too busy to say so in time
                continue
            return str(site)
        time.sleep(0.5)
    raise SystemExit(f"The demo did not answer within {START_S} s:\n{said.read_text()}")


def main_screens(browser: Browser) -> dict[str, str]:
    """Return the six main screens by name, those of one thing found by following links."""
    inspection = re.findall(r'href="(/inspections/\d+/)"', browser.page("/inspections/"))[0]
    page = browser.page(inspection)
    engine = re.findall(r'href="(/engines/\d+/)"', page)[0]
    return {
        "engine list": "/engines/",
        "engine": engine,
        "record a run": f"{engine}record/",
        "run": re.findall(r'href="(/runs/[0-9a-f-]+/)"', page)[0],
        "open inspections": "/inspections/",
        "inspection": inspection,
    }


def audited(program: Path, address: str, cookies: str) -> dict[str, int]:
    """Return the scores of a page, out of 100, and print what kept one of them down."""
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.json"
        command = [str(program), address, "--quiet", "--output=json", f"--output-path={report}"]
        asked = [f"--only-categories={','.join(LEAST)}", f"--chrome-flags={FLAGS}"]
        header = [f"--extra-headers={json.dumps({'Cookie': cookies})}"]
        environment = {**os.environ, "CHROME_PATH": chromium_ensure()}
        for _ in range(TRIES):
            done = subprocess.run([*command, *asked, *header], env=environment, check=False, timeout=AUDIT_S)
            if done.returncode == 0:
                break
        found = json.loads(report.read_text(encoding="utf8"))
    scores = {name: round(100 * found["categories"][name]["score"]) for name in LEAST}
    if any(scores[name] < least for name, least in LEAST.items()):
        print("\n".join(faults(found)))
    return scores


def faults(found: dict[str, dict[str, dict[str, object]]]) -> list[str]:
    """Return each audit of a report that did not pass, with the figure it gives."""
    audits = found["audits"].values()
    low = [audit for audit in audits if isinstance(audit["score"], int | float) and audit["score"] < 0.9]
    return [f"    {audit['title']} {audit.get('displayValue', '')}" for audit in low]


def lighthouse_installed(folder: str) -> Path:
    """Return the program, put into a folder by npm."""
    command = ["npm", "install", "--no-audit", "--no-fund", "--silent", "--prefix", folder, f"lighthouse@{VERSION}"]
    subprocess.run(command, check=True, timeout=START_S)
    return Path(folder) / "node_modules" / ".bin" / "lighthouse"


def main() -> int:
    """Serve, sign in, score each screen and print; return 1 where one is below what it must have."""
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--lighthouse", type=Path, help="the program, where it is installed already")
    given = parser.parse_args().lighthouse
    low = 0
    with tempfile.TemporaryDirectory(prefix="embermark-lighthouse-") as folder, demo_served(folder) as browser:
        program = given or lighthouse_installed(folder)
        for name, address in main_screens(browser).items():
            scores = audited(program, f"{browser.site}{address}", browser.cookies())
            low += any(scores[part] < least for part, least in LEAST.items())
            print(f"{name:<20} {', '.join(f'{part} {score}' for part, score in scores.items())}", flush=True)
    return 1 if low else 0


if __name__ == "__main__":
    sys.exit(main())

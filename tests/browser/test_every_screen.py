"""Every screen of the site map in a browser, with much on it, with nothing on it, refused and wrongly filled in."""

from collections.abc import Iterator
from itertools import islice
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe, AxeResults
from django.db import transaction
from django.template.loader import render_to_string
from django.test import Client
from playwright.sync_api import Page

from logbook.access import AUDITOR, DIRECTOR
from tests.browser.entering import cookies_of
from tests.stage import Stage, stage_set
from tests.stage_sizes import bare_visits, stage_of_pages
from tests.visitors import arrived
from tests.walk import address_of, screens, visits

NARROWEST, PHONE, DESK = 320, 360, 1280
PARTS = 4  # that a walk over all screens is cut into, so that none of them takes minutes
LONG = ("engine_list", "engine_times", "inspection_list", "entry_list", "concern_list")
AXE = Axe()
# All rules; what passes is neither described nor sent.
EVERYTHING = {"reporter": "no-passes", "rules": {"color-contrast-enhanced": {"enabled": True}}}
# In the other theme only the colours differ.
COLOURS = {**EVERYTHING, "runOnly": ["color-contrast", "color-contrast-enhanced"]}
# A sheet that is its page's own, sent with nothing in it.
LEAST_TARGET, MAIN_TARGET = 48, 72  # px high
PRESSED = "button, a.act, a.main-act, summary, .facts dd > a, input:not([type=hidden])"
TARGETS = f"main :is({PRESSED}), nav.ways a, .choice"
TOO_SMALL = f"""[...document.querySelectorAll("{TARGETS}")].filter((target) => {{
  const height = target.getBoundingClientRect().height;
  const least = target.matches(".main-act") ? {MAIN_TARGET} : {LEAST_TARGET};
  return !target.matches(".choice input") && height > 0 && height < least - 0.5;
}}).map((target) => target.outerHTML.slice(0, 90))"""
OWN_SHEET = """[...document.querySelectorAll("main form[method=post]")].find(
  (form) => new URL(form.action).pathname === location.pathname && !form.hasAttribute("hx-post"))"""
SHEETS = {"run_record", "inspection_sign", "limits_enter", "limits_key", "sign_in", "token_add"}
SEND_EMPTY = f"""() => {{
  const sheet = {OWN_SHEET};
  const typed = "input:not([type=hidden]):not([type=radio]):not([type=checkbox]), textarea";
  for (const box of sheet.querySelectorAll(typed)) box.value = "";
  sheet.noValidate = true;
  sheet.requestSubmit();
}}"""


@pytest.fixture
def stage() -> Stage:
    """Return the stage with more than one row of everything."""
    with transaction.atomic():
        return stage_set(rows=2)


class Walker:
    """A browser that goes to a page as somebody who is signed in, and remembers what is wrong with it."""

    def __init__(self, page: Page, site: str) -> None:
        self.page, self.site, self.wrong = page, site, dict[str, Any]()

    def go(self, client: Client, address: str) -> None:
        """Open an address as a client of the tests would."""
        self.page.context.clear_cookies()
        self.page.context.add_cookies(cookies_of(client, self.site))
        self.page.goto(f"{self.site}{address}")

    def look(self, name: str) -> None:
        """Ask the accessibility checker about the page in view at both widths and in both themes."""
        self.page.evaluate(AXE.axe_script)
        for scheme, asked in (("light", EVERYTHING), ("dark", COLOURS)):
            self.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
            for width in (PHONE, DESK):
                self.page.set_viewport_size({"width": width, "height": 800})
                found = AxeResults(self.page.evaluate("(asked) => axe.run(document, asked)", asked))
                if found.violations_count:
                    self.wrong[f"{name}, {width} px, {scheme}"] = found.generate_report()
        self.measure(name)
        self.page.set_viewport_size({"width": NARROWEST, "height": 640})
        over = self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        if over > 0:
            self.wrong[f"{name} scrolls sideways"] = over

    def measure(self, name: str) -> None:
        """Measure on a phone whether a gloved finger finds room on what can be pressed."""
        self.page.set_viewport_size({"width": PHONE, "height": 800})
        if small := self.page.evaluate(TOO_SMALL):
            self.wrong[f"{name}, too small for gloves"] = small


@pytest.fixture
def walker(page: Page, live_server: Any) -> Walker:
    """Return a browser that walks."""
    return Walker(page, live_server.url)


def director_visits(stage: Stage, part: int) -> Iterator[tuple[str, Client, str]]:
    """Yield each screen of a part with the client that gets its page, the director where they may."""
    for name in screens()[part::PARTS]:
        pages = ((client, address) for _, client, address in visits(stage, name, DIRECTOR) if client is not None)
        client, address = next(pages)
        yield name, client, address


@pytest.mark.parametrize("part", range(PARTS))
def test_every_screen_with_much_on_it(walker: Walker, stage: Stage, part: int) -> None:
    for name, client, address in director_visits(stage, part):
        walker.go(client, address)
        walker.look(name)
    assert walker.wrong == {}


def test_long_lists(walker: Walker) -> None:
    with transaction.atomic():
        stage = stage_of_pages()
    for name in LONG:
        address = address_of(name, stage.places)
        walker.go(arrived(stage.people[DIRECTOR]).client, f"{address}?page=2")
        assert walker.page.locator("nav[aria-label^=Pages]").count() == 1, name
        walker.look(name)
    assert walker.wrong == {}


@pytest.mark.parametrize("part", range(PARTS))
def test_every_screen_with_nothing_on_it(walker: Walker, db: None, part: int) -> None:
    for name, client, address in islice(bare_visits(), part, None, PARTS):
        walker.go(client, address)
        walker.look(name)
    assert walker.wrong == {}


@pytest.mark.parametrize("part", range(PARTS))
def test_every_sheet_sent_empty(walker: Walker, stage: Stage, part: int) -> None:
    sent = set()
    for name, client, address in director_visits(stage, part):
        walker.go(client, address)
        if walker.page.evaluate(f"Boolean({OWN_SHEET})"):
            with walker.page.expect_navigation():
                walker.page.evaluate(SEND_EMPTY)
            walker.look(f"{name}, sent empty")
            sent.add(name)
    assert walker.wrong == {}
    assert SHEETS & set(screens()[part::PARTS]) <= sent


def test_refusals(walker: Walker, stage: Stage) -> None:
    auditor, director = arrived(stage.people[AUDITOR]).client, arrived(stage.people[DIRECTOR]).client
    walker.go(auditor, address_of("run_record", stage.places))
    walker.look("not allowed")
    walker.go(director, "/nowhere/")
    walker.look("not there")
    walker.go(director, "/inspections/give/")
    walker.look("refused")
    said = {name: render_to_string(f"{name}.html") for name in ("403_csrf", "429", "500")}
    walker.page.route("**/said/*", lambda route: route.fulfill(body=said[route.request.url.rsplit("/", 1)[1]]))
    for name in said:
        walker.go(director, f"/said/{name}")
        walker.look(name)
    assert walker.wrong == {}

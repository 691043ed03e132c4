"""A real browser in front of the whole site: signed in as one of the cast, every error of its console a failure."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Page

from engines.models import Engine
from logbook.models import Person
from tests.browser.entering import come_in, somebody_is_in
from tests.harness.waits import PATIENCE_S
from tests.logbook.screen_kit import PASSWORD

REFUSED = "status of 422"
PHONE = {"width": 360, "height": 740}
Visit = Callable[[str], Page]


@pytest.fixture(autouse=True)
def whole_site(transactional_db: None) -> None:
    """Let the server's own threads see what the test has stored."""


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """Leave the program that works without signal out; its own tests bring it."""
    return {**browser_context_args, "service_workers": "block"}


@pytest.fixture
def console(page: Page) -> Iterator[list[str]]:
    """Collect what the browser complains of, refusals of a sheet left out; a test that leaves a complaint fails."""
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    yield complaints
    assert [complaint for complaint in complaints if REFUSED not in complaint] == []


@pytest.fixture
def visit(page: Page, live_server: Any, console: list[str]) -> Visit:
    """Return a function that opens an address of the site."""
    page.set_default_timeout(1000 * PATIENCE_S)
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]

    def go(address: str) -> Page:
        page.goto(f"{live_server.url}{address}")
        return page

    return go


@pytest.fixture
def sign_in_by_screen(visit: Visit) -> Callable[[Person], Page]:
    """Return a function that signs a person in through the sign-in screen, whoever was there before."""

    def enter(person: Person) -> Page:
        page = visit("/sign-in/")
        if page.get_by_role("button", name="Sign out").count():
            page.get_by_role("button", name="Sign out").click()
        page.get_by_label("Name you sign in with").fill(person.username)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url("**/engines/")
        return page

    return enter


@pytest.fixture
def sign_in(
    page: Page, live_server: Any, visit: Visit, sign_in_by_screen: Callable[[Person], Page]
) -> Callable[[Person], Page]:
    """Return a function that lets a person in, by the screen only where somebody else was there before."""

    def enter(person: Person) -> Page:
        if somebody_is_in(page.context):
            return sign_in_by_screen(person)
        come_in(page.context, person, live_server.url)
        return visit("/engines/")

    return enter


@pytest.fixture
def at_work(engine: Engine, mechanic: Person, inspector: Person, director: Person) -> Engine:
    """Return the engine of an operator whose people are all there."""
    return engine

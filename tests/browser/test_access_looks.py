"""The screens of one's own access on a phone and at a desk, with the same measures as the others."""

from collections.abc import Callable
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse
from playwright.sync_api import Page

from logbook.models import Person
from logbook.tokens import token_issue, token_revoke, token_used
from tests.browser.test_every_screen import DESK, LEAST_TARGET, NARROWEST, PHONE, TARGETS
from tests.logbook.screen_kit import PASSWORD

SignIn = Callable[[Person], Page]
SCREENS = ("token_list", "token_add", "account_change_password", "mfa_add_webauthn", "mfa_activate_totp")


@pytest.fixture
def confirmed(sign_in: SignIn, mechanic: Person, live_server: Any) -> Page:
    """Return the page of a person with tokens, who has just given their password once more."""
    token_used(token=token_issue(person=mechanic, label="The recorder in the hangar, by the window")[0])
    token_revoke(token=token_issue(person=mechanic, label="Old")[0])
    page = sign_in(mechanic)
    page.goto(f"{live_server.url}{reverse('mfa_add_webauthn')}")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Confirm").click()
    page.wait_for_url(f"**{reverse('mfa_add_webauthn')}")
    return page


def seen(page: Page, live_server: Any) -> list[tuple[str, dict[str, Any]]]:
    """Return each screen with what its browser measures: how far it scrolls sideways, and targets that are too low."""
    measured = []
    for name in SCREENS:
        page.goto(f"{live_server.url}{reverse(name)}")
        over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        # The words beside a choice are part of its target, and stand here by themselves.
        targets = page.locator(TARGETS).and_(page.locator(":not(.choice input)"))
        boxes = [target.bounding_box() for target in targets.all() if target.is_visible()]
        low = [box for box in boxes if box and box["height"] < LEAST_TARGET]
        measured.append((name, {"over": max(over, 0), "low": low}))
    return measured


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [PHONE, DESK])
def test_the_accessibility_checker_finds_nothing(width: int, scheme: Any, confirmed: Page, live_server: Any) -> None:
    confirmed.emulate_media(color_scheme=scheme)
    confirmed.set_viewport_size({"width": width, "height": 800})
    found = {}
    for name in SCREENS:
        confirmed.goto(f"{live_server.url}{reverse(name)}")
        results = Axe().run(confirmed)
        if results.violations_count:
            found[name] = results.generate_report()
    assert found == {}


def test_nothing_scrolls_sideways_and_every_target_suits_a_glove(confirmed: Page, live_server: Any) -> None:
    confirmed.set_viewport_size({"width": NARROWEST, "height": 640})
    assert seen(confirmed, live_server) == [(name, {"over": 0, "low": []}) for name in SCREENS]

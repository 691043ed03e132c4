"""A passkey from adding it to signing in by it, on a device that the browser pretends to have."""

from collections.abc import Callable
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from django.test import Client
from playwright.sync_api import Page, Route

from engines.evidence import RunFacts
from engines.models import Engine, Run
from logbook.actions import run_enter
from logbook.models import Entry, Person
from tests.factories import STARTED_AT
from tests.harness.waits import waited
from tests.logbook.screen_kit import PASSWORD

SignIn = Callable[[Person], Page]
DEVICE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


@pytest.fixture
def keeper(page: Page, settings: Any) -> Any:
    """Give the browser a device that keeps passkeys, and return how to speak to it."""
    # The server of the tests has no https, without which passkeys are refused elsewhere.
    settings.MFA_WEBAUTHN_ALLOW_INSECURE_ORIGIN = True
    session = page.context.new_cdp_session(page)
    session.send("WebAuthn.enable")
    session.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
    return session


def go_to_add(page: Page) -> None:
    """Go to the sheet on which a passkey is added, from any screen."""
    page.get_by_role("link", name="My access").click()
    page.get_by_role("link", name="Add a passkey").click()
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Confirm").click()


def add_passkey(page: Page, *, passwordless: bool) -> None:
    """Add a passkey on the screen of one's own access."""
    go_to_add(page)
    page.get_by_label("Name of the passkey").fill("Phone of the hangar")
    if passwordless:
        page.get_by_label("It may sign me in without a password").check()
    page.get_by_role("button", name="Add the passkey").click()
    page.get_by_role("heading", name="Recovery codes").wait_for()


@pytest.mark.usefixtures("keeper")
def test_a_passkey_signs_in_without_a_password(sign_in_by_screen: SignIn, mechanic: Person) -> None:
    page = sign_in_by_screen(mechanic)
    add_passkey(page, passwordless=True)
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("button", name="Use a passkey").click()
    page.wait_for_url("**/engines/")
    page.get_by_role("link", name="My access").click()
    assert "Phone of the hangar, last used" in page.inner_text("main")


@pytest.mark.usefixtures("keeper")
def test_a_passkey_is_added_by_a_press_that_came_before_the_scripts(
    sign_in_by_screen: SignIn, mechanic: Person
) -> None:
    page = sign_in_by_screen(mechanic)
    go_to_add(page)
    page.get_by_label("Name of the passkey").wait_for()
    held: list[Route] = []
    page.route("**/js/app.js", lambda route: held.append(route))
    page.reload(wait_until="commit")
    page.get_by_label("Name of the passkey").fill("Phone of the hangar")
    page.get_by_role("button", name="Add the passkey").click()
    waited(page, lambda: bool(held))
    assert not Authenticator.objects.exists()
    held.pop().continue_()
    page.get_by_role("heading", name="Recovery codes").wait_for()
    assert Authenticator.objects.filter(user=mechanic, type=Authenticator.Type.WEBAUTHN).count() == 1


@pytest.mark.usefixtures("keeper")
def test_a_passkey_is_the_second_step_after_the_password(sign_in_by_screen: SignIn, mechanic: Person) -> None:
    page = sign_in_by_screen(mechanic)
    add_passkey(page, passwordless=False)
    page.get_by_role("button", name="Sign out").click()
    page.get_by_label("Name you sign in with").fill(mechanic.username)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", name="The second step").wait_for()
    assert Client().get("/engines/").status_code == 302
    page.get_by_role("button", name="Use a passkey instead").click()
    page.wait_for_url("**/engines/")


def test_a_device_without_the_passkey_is_told_what_to_do(
    visit: Callable[[str], Page], keeper: Any, mechanic: Person
) -> None:
    page = visit("/sign-in/")
    keeper.send("WebAuthn.disable")
    refused = "Promise.reject(new DOMException('', 'NotAllowedError'))"
    page.evaluate(f"() => {{ navigator.credentials.get = () => {refused}; }}")
    page.get_by_role("button", name="Use a passkey").click()
    page.get_by_text("No passkey was used: it was put off").wait_for()


@pytest.mark.usefixtures("keeper")
def test_a_passkey_signs_an_entry(sign_in_by_screen: SignIn, engine: Engine, mechanic: Person) -> None:
    facts = RunFacts(Run().pk, Run.Kind.GROUND_RUN, STARTED_AT, typed_run_time_s=1440)
    run = run_enter(engine=engine, facts=facts, by=mechanic)
    page = sign_in_by_screen(mechanic)
    add_passkey(page, passwordless=False)
    page.goto(f"{page.url.split('/my-access')[0]}/runs/{run.pk}/sign/")
    page.get_by_role("button", name="Use a passkey instead").click()
    page.get_by_role("button", name="Sign it with your passkey").click()
    page.get_by_role("heading", name="Entry 1: Ground run recorded").wait_for()
    signature = Entry.objects.get().body["signed"]
    assert signature["factor"] == "passkey, used at the moment of signing"
    assert signature["device_at"]

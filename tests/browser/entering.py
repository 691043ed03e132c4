"""Coming in without the sign-in screen, for tests of what lies behind it: with the cookie that it would give."""

import time
from typing import TYPE_CHECKING

from django.conf import settings
from django.test import Client
from playwright.sync_api import BrowserContext

from logbook.models import Person
from tests.visitors import came_in

if TYPE_CHECKING:
    from playwright._impl._api_structures import SetCookieParam


def cookies_of(client: Client, site: str) -> "list[SetCookieParam]":
    """Return the cookies of a client of the tests as a browser takes them for a site, kept as long as a session."""
    until = time.time() + settings.SESSION_COOKIE_AGE
    common: SetCookieParam = {"url": site, "expires": until, "httpOnly": True, "sameSite": "Lax"}
    return [{"name": name, "value": morsel.value, **common} for name, morsel in client.cookies.items()]


def somebody_is_in(context: BrowserContext) -> bool:
    """Return whether a browser has somebody's session, who would have to sign out first."""
    return any(cookie.get("name") == settings.SESSION_COOKIE_NAME for cookie in context.cookies())


def come_in(context: BrowserContext, person: Person, site: str) -> None:
    """Give a browser the session of a person who has just signed in by password."""
    context.add_cookies(cookies_of(came_in(person, confirmed=False), site))

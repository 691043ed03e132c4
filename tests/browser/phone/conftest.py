"""A phone with the program that works without signal, and the way to the server in the test's hand."""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser

from engines.models import Engine
from logbook.models import Person
from tests.browser.phone.gate import Gate
from tests.browser.phone.kit import PHONE, Phone
from tests.harness.waits import PATIENCE_S


@pytest.fixture
def gate(live_server: Any) -> Iterator[Gate]:
    """Return the way to the server, open."""
    way = Gate(live_server.url)
    yield way
    way.close()


@pytest.fixture
def phone(browser: Browser, gate: Gate, engine: Engine, mechanic: Person, inspector: Person) -> Iterator[Phone]:
    """Return a phone on which nobody is signed in yet."""
    context = browser.new_context(service_workers="allow", viewport=PHONE, accept_downloads=True)  # type: ignore[arg-type]
    context.set_default_timeout(1000 * PATIENCE_S)
    yield Phone(context, gate)
    context.close()

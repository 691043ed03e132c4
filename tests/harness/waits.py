"""Waits that come to an end: what a page is asked for, and what is pressed again and again."""

import time
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page, TimeoutError

PATIENCE_S = 60.0
POLL_MS = 50.0
MOST_PRESSES = 60


def answer(page: Page, script: str, what: Any = None, *, within_s: float = PATIENCE_S) -> Any:
    """Return what an asynchronous function of a page comes to, or fail when it does not within so many seconds.

    A page's promise may never be kept, and the driver's own ``evaluate`` would wait for it without end.
    """
    # In a list, so that nothing that it may be is taken for not having come yet.
    kept = page.wait_for_function(f"async (what) => [await ({script})(what)]", arg=what, timeout=1000 * within_s)
    (found,) = kept.json_value()
    return found


def pressed_until(reached: Callable[[], bool], press: Callable[[], object], *, most: int = MOST_PRESSES) -> None:
    """Press until something is reached, or fail when it isn't after so many presses."""
    for _ in range(most):
        if reached():
            return
        press()
    raise AssertionError(f"This was not reached by {most} presses.")


def waited(page: Page, reached: Callable[[], bool], *, within_s: float = PATIENCE_S) -> None:
    """Wait until something outside the page is reached, while the page goes on, or fail when it isn't in time."""
    deadline = time.monotonic() + within_s
    while not reached():
        assert time.monotonic() < deadline, f"This was not reached within {within_s:g} s."
        page.wait_for_timeout(POLL_MS)


def wired(page: Page) -> None:
    """Wait until the page's scripts have taken over, by what they show on every screen."""
    page.locator("[data-theme-choice]:not([hidden])").wait_for()


def forgotten(page: Page) -> None:
    """Wait until the page's scripts have forgotten every draft, or fail and say which are kept.

    What the server says of a recorded sheet is in view before the scripts that forget its draft have run.
    """
    kept = "Object.keys(localStorage)"
    try:
        page.wait_for_function(f"() => !{kept}.length", timeout=1000 * PATIENCE_S)
    except TimeoutError as error:
        raise AssertionError(f"These are kept still: {page.evaluate(kept)}") from error

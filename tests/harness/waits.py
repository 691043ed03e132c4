"""Waits that come to an end: what a page is asked for, and what is pressed again and again."""

from collections.abc import Callable
from typing import Any

from playwright.sync_api import Page

PATIENCE_S = 60.0
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

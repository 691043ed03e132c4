"""What the phone says is kept is on its disk: the browser is killed at that moment, again and again."""

import contextlib
import os
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserType, Error

from engines.models import Engine
from logbook.models import Person
from tests.browser.phone.gate import Gate
from tests.browser.phone.kit import PHONE, Phone

ROUNDS = int(os.environ.get("KILLED_ROUNDS", "3"))  # as many as are wanted: python -m tests.soak killed 50


def processes_of(folder: Path) -> list[int]:
    """Return the numbers of the processes that were started for a folder of their own."""
    found = []
    for entry in Path("/proc").iterdir():
        with contextlib.suppress(OSError):
            if entry.name.isdigit() and str(folder).encode() in (entry / "cmdline").read_bytes():
                found.append(int(entry.name))
    return found


def killed(phone: Phone, folder: Path) -> None:
    """End the browser without a word of warning."""
    for number in processes_of(folder):
        with contextlib.suppress(ProcessLookupError):
            os.kill(number, signal.SIGKILL)
    with contextlib.suppress(Error):
        phone.context.close()


@pytest.fixture
def opened(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], tmp_path: Path, gate: Gate
) -> Callable[[], Phone]:
    """Return a function that starts the browser with what it had on its disk."""
    facts: dict[str, Any] = {**browser_type_launch_args, "viewport": PHONE}
    return lambda: Phone(browser_type.launch_persistent_context(str(tmp_path), **facts), gate)


def test_what_is_called_kept_outlasts_the_browser(
    opened: Callable[[], Phone], tmp_path: Path, gate: Gate, engine: Engine, mechanic: Person
) -> None:
    phone, numbers = opened(), set()
    phone.stock(mechanic, f"/engines/{engine.pk}/record/")
    gate.close()
    for n in range(ROUNDS):
        numbers.add(phone.keep_run(engine, began=f"2026-0{1 + n // 28 % 9}-{1 + n % 28:02}T07:30"))
        killed(phone, tmp_path)
        phone = opened()
        phone.go("/not-sent-yet/")
        assert {row["id"] for row in phone.rows()} == numbers, n
    assert len(numbers) == ROUNDS
    phone.context.close()

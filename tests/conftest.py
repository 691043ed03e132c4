"""What every test stands on: the browser, and which tests need the database."""

import gc
import os
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from django.db import connection
from django.test import TransactionTestCase
from playwright.sync_api import expect

from tests.harness.chromium import chromium_find
from tests.harness.shared import SharedMissing, shared_file
from tests.harness.waits import PATIENCE_S
from tests.layers import MAY_IMPORT, ROOT, sources

pytest_plugins = ["tests.cast", "tests.built"]

DATABASE_FIXTURES = {"db", "transactional_db", "django_db_reset_sequences", "django_db_serialized_rollback"}
BROWSER_FIXTURES = {"page", "context", "browser", "live_server"}
QUIET_CHROMIUM = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

# A shared machine may be slow for a moment, which says nothing about the code.
hypothesis.settings.register_profile("embermark", deadline=None)
hypothesis.settings.load_profile("embermark")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the choice of the tests that a second database repeats."""
    parser.addoption("--database-only", action="store_true", help="run only the tests that may differ by database")
    parser.addoption("--browser-only", action="store_true", help="run only the tests that drive the browser")
    parser.addoption("--no-browser", action="store_true", help="run only the tests that drive no browser")


def touches_database(item: pytest.Item) -> bool:
    """Return whether a test asks for the database, by mark or by fixture."""
    fixtures = set(getattr(item, "fixturenames", ()))
    return item.get_closest_marker("django_db") is not None or bool(DATABASE_FIXTURES & fixtures)


def may_differ_by_database(item: pytest.Item) -> bool:
    """Return whether a second database could teach something about a test."""
    return touches_database(item) and item.get_closest_marker("one_database") is None


def drives_browser(item: pytest.Item) -> bool:
    """Return whether a test drives the browser, which a second database teaches nothing."""
    return bool(BROWSER_FIXTURES & set(getattr(item, "fixturenames", ())))


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Run long files first and browser tests last, and leave only what is asked for."""
    for item in items:
        # Worked examples must cover the arithmetic by themselves, and thousands of drawn ones would be slow to count.
        if getattr(getattr(item, "obj", None), "is_hypothesis_test", False):
            item.add_marker("no_cover")
    # What is not counted takes long: begun last, it would leave the other processors without work.
    long = {item.path for item in items if item.get_closest_marker("no_cover")}
    items.sort(key=lambda item: (drives_browser(item), item.path not in long))
    asked_for = [is_asked_for(item, config) for item in items]
    config.hook.pytest_deselected(items=[item for item, asked in zip(items, asked_for, strict=True) if not asked])
    items[:] = [item for item, asked in zip(items, asked_for, strict=True) if asked]


def pytest_collection_finish(session: pytest.Session) -> None:
    """Import all that is counted, and let Python's search for garbage pass over what stays to the end anyway."""
    if session.config.pluginmanager.hasplugin("_cov"):
        # What a test that is not counted were the first to import would be missed.
        for path in sources(*MAY_IMPORT):
            if path.stem != "wsgi" and "commands" not in path.parts:
                import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))
    gc.collect()
    gc.freeze()
    gc.set_threshold(10_000, 20, 20)  # seldom: what a test leaves goes when nothing refers to it


def is_asked_for(item: pytest.Item, config: pytest.Config) -> bool:
    """Return whether a test is among those that the options leave."""
    if config.getoption("--browser-only"):
        return drives_browser(item)
    if drives_browser(item):
        return not (config.getoption("--no-browser") or config.getoption("--database-only"))
    return not config.getoption("--database-only") or may_differ_by_database(item)


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    request: pytest.FixtureRequest,
    django_db_modify_db_settings_parallel_suffix: None,
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """Keep the database of the browser's tests in a file, so that each thread of their server has a connection.

    One in memory is one connection for all of them, and so one transaction; and one thread that gives a value to a
    query while another's query calls a function of Python wait for each other for ever, with the interpreter held.
    """
    if connection.vendor == "sqlite" and any(map(drives_browser, request.session.items)):
        connection.settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "tests.sqlite3")
        # The file goes with the tests: that it stands after a loss of power shows nothing and costs every commit.
        options = connection.settings_dict["OPTIONS"]
        options["init_command"] = options["init_command"].replace("synchronous=FULL", "synchronous=OFF")


@pytest.fixture(autouse=True, scope="session")
def guards_lifted_to_flush() -> Iterator[None]:
    """Let a test that commits have its rows removed, which the database refuses while its guards stand."""
    from logbook.ledger.guards import guards_lift

    flush = TransactionTestCase._fixture_teardown  # type: ignore[attr-defined]

    def lifted(case: TransactionTestCase) -> None:
        guards_lift(connection)
        flush(case)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", lifted)
        yield


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Drive the system's Chromium, quietly."""
    # The driver's event loop stays until the session ends, and Django would take the tests for asynchronous code.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    # A shared machine may be slow for a moment, which says nothing about the screens.
    expect.set_options(timeout=1000 * PATIENCE_S)
    return {**browser_type_launch_args, "executable_path": chromium_find(), "args": QUIET_CHROMIUM}


@pytest.fixture
def shared_checks() -> Any:
    """Return a function from a name to the path of a published check file that is not kept in the repository."""

    def find(name: str) -> Path:
        try:
            return shared_file(name, os.environ)
        except SharedMissing as error:
            if error.required:
                pytest.fail(str(error))
            pytest.skip(str(error))

    return find

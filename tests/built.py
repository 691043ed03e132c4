"""What the tests of a file stand on, stored once for all of them.

``built = built_once(store)`` in a file stores it before the first of its tests that asks for it, and
``engine = own("engine")`` gives each test a copy of what was stored under that name. What a test itself stores goes
with it; what was built goes with the file. In such a file no test may commit.
"""

import copy
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import storages
from django.db import transaction

Things = dict[str, Any]


def built_once(store: Callable[[], Things]) -> Any:
    """Return the fixture that holds by name what a function stores."""

    @pytest.fixture(scope="module", name="built")
    def built(django_db_setup: None, django_db_blocker: Any) -> Iterator[Things]:
        # The transaction of each test, which is rolled back at its end, lies within this one.
        with django_db_blocker.unblock(), transaction.atomic():
            things = store()
            with django_db_blocker.block():
                yield things
            transaction.set_rollback(True)

    return built


@pytest.fixture
def copies(built: Things, db: None) -> Iterator[Things]:
    """Return this test's own copies of what was built, which refer to each other as the originals do."""
    before = files_kept()
    yield copy.deepcopy(built)
    for path in files_kept() - before:
        path.unlink()


def files_kept() -> set[Path]:
    """Return the files that rows name: they go with a test's rows, which may have the same names in the next one."""
    return {path for path in Path(storages["traces"].path("")).rglob("*") if path.is_file()}


def own(name: str) -> Any:
    """Return the fixture that gives a test its copy of one of the things."""

    @pytest.fixture(name=name)
    def taken(copies: Things) -> Any:
        return copies[name]

    return taken

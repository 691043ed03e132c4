"""The locks say all that is installed, so that the README's commands mean the same on every day to come."""

import re
from importlib.metadata import requires

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.layers import ROOT

# What is written is read here and nothing run that coverage would count.
pytestmark = pytest.mark.no_cover

LOCKS = ["requirements.lock", "tests/requirements.lock"]
PINNED = re.compile(r"^([\w.-]+)(?:\[([\w,.-]+)\])?==([\w.+]+)(?: ; (.+?))? \\$", re.MULTILINE)


def pinned(lock: str) -> dict[str, set[str]]:
    """Return the extras that each package of a lock is pinned with."""
    rows = PINNED.findall((ROOT / lock).read_text(encoding="utf8"))
    return {canonicalize_name(name): set(filter(None, extras.split(","))) for name, extras, *_ in rows}


def asked_of(name: str, extras: set[str]) -> list[Requirement]:
    """Return what an installed package asks for here, with the extras that it is pinned with."""
    found = [Requirement(text) for text in requires(name) or []]
    return [ask for ask in found if not ask.marker or any(ask.marker.evaluate({"extra": e}) for e in {"", *extras})]


def test_the_pattern_reads_a_line_with_everything() -> None:
    assert PINNED.findall('a-b[c,d]==1.2 ; sys_platform == "x" \\\n') == [("a-b", "c,d", "1.2", 'sys_platform == "x"')]


@pytest.mark.parametrize("lock", LOCKS)
def test_what_is_asked_for_with_an_extra_is_pinned_with_it(lock: str) -> None:
    rows = pinned(lock)
    assert len(rows) > 20
    missing = []
    for name, extras in rows.items():
        try:
            asks = asked_of(name, extras)
        except ModuleNotFoundError:
            continue  # pinned for another system than this
        missing += [
            f"{name} asks for {ask}" for ask in asks if not ask.extras <= rows.get(canonicalize_name(ask.name), set())
        ]
    assert missing == []


@pytest.mark.parametrize("lock", LOCKS)
def test_no_lock_names_where_it_came_from(lock: str) -> None:
    assert "://" not in (ROOT / lock).read_text(encoding="utf8")

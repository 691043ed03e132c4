"""Every requirement on entries and prints is named by a test, or explained as none that software can meet."""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from tests.requirements import IDS, NOT_OF_SOFTWARE

HERE = Path(__file__).parent
LIST = {"test_requirements.py", "requirements.py"}


def named_in(tree: ast.AST) -> Iterator[str]:
    """Yield what a module of tests names: its tests, what they say of themselves, and the names of their cases."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            yield node.name
            yield ast.get_docstring(node) or ""
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and len(node.value) < 60:
            yield node.value


@cache
def names() -> str:
    """Return everything that tests name, a line each, lower case, every sign between words a low line."""
    files = (path for path in sorted(HERE.rglob("test_*.py")) if path.name not in LIST)
    told = (text for path in files for text in named_in(ast.parse(path.read_text(encoding="utf-8"))))
    return "\n".join(plain(line) for text in told for line in text.splitlines())


def plain(text: str) -> str:
    """Return a text in lower case with low lines between its words."""
    return re.sub(r"[^0-9a-z]+", "_", text.lower()).strip("_")


def is_named(requirement: str, told: str) -> bool:
    """Return whether a requirement is named, and not only one whose name begins like it."""
    return re.search(rf"(?:^|_){plain(requirement)}(?![0-9a-z])(?!_[0-9]+(?:_|$))", told, re.MULTILINE) is not None


@pytest.mark.parametrize("requirement", IDS)
def test_a_requirement_is_named_by_a_test_or_explained(requirement: str) -> None:
    assert is_named(requirement, names()) != (requirement in NOT_OF_SOFTWARE)


def test_what_is_explained_is_asked_for_and_says_why() -> None:
    assert set(NOT_OF_SOFTWARE) <= set(IDS)
    assert all(len(why.split()) > 3 for why in NOT_OF_SOFTWARE.values())


@pytest.mark.parametrize(
    ("told", "is_there"),
    [
        ("test_r_43_9_a_1_what_was_done", True),
        ("R-43.9-a-1: what was done", True),
        ("test_R_43_9_a_is_more", False),
        ("test_r_43_9_a_12_and_more", False),
        ("test_r_43_9_a_1_2_is_another", False),
        ("", False),
    ],
)
def test_a_name_is_found_whole(told: str, *, is_there: bool) -> None:
    assert is_named("R-43.9-a-1", plain(told)) is is_there

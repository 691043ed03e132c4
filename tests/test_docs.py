"""The guides name every screen, setting, command and error code there is."""

import ast
import re
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

from tests.layers import MAY_IMPORT, ROOT, sources

# What is written is read here and nothing run that coverage would count.
pytestmark = pytest.mark.no_cover


@cache
def guides() -> str:
    """Return the text of the guides."""
    return "\n".join((ROOT / name).read_text(encoding="utf8") for name in ("README.md", "DEVELOPERS.md"))


def url_names(resolver: URLResolver) -> Iterator[str]:
    """Yield the name of every address of ours; the administration pages are Django's own."""
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            if pattern.namespace != "admin":
                yield from url_names(pattern)
        elif isinstance(pattern, URLPattern) and pattern.name:
            yield pattern.name


def settings_read() -> set[str]:
    """Return every name of ours that is read from the environment, by the project or by its tests."""
    return {
        name
        for path in sources(*MAY_IMPORT, "tests")
        for name in re.findall(r'"(EMBERMARK_[A-Z_]+)"', path.read_text())
    }


def commands() -> set[str]:
    """Return the names of our management commands."""
    return {path.stem for path in ROOT.glob("*/management/commands/*.py") if not path.stem.startswith("_")}


def codes(source: str) -> set[str]:
    """Return the error codes in a piece of source: given when raising, or set by a class."""
    given: list[Any] = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call):
            given += [keyword.value for keyword in node.keywords if keyword.arg == "code"]
        elif isinstance(node, ast.ClassDef):
            bodies = [line for line in node.body if isinstance(line, ast.Assign)]
            given += [line.value for line in bodies if ast.unparse(line.targets[0]) == "code"]
    return {node.value for node in given if isinstance(node, ast.Constant) and isinstance(node.value, str)}


def test_codes_are_found_where_they_are_given() -> None:
    assert codes('class A(E):\n    code = "a"\n\ndef f():\n    raise E("no", code="b")') == {"a", "b"}


@pytest.mark.parametrize("name", sorted(set(url_names(get_resolver()))))
def test_every_address_is_named(name: str) -> None:
    assert f"`{name}`" in guides()


@pytest.mark.parametrize("name", sorted(settings_read()))
def test_every_setting_is_explained(name: str) -> None:
    assert f"`{name}`" in guides()


@pytest.mark.parametrize("name", sorted(commands()))
def test_every_command_is_named(name: str) -> None:
    assert re.search(rf"`(manage\.py )?{name}[ `]|manage\.py {name}\b", guides())


@pytest.mark.parametrize("code", sorted(set().union(*(codes(path.read_text()) for path in sources(*MAY_IMPORT)))))
def test_every_error_code_is_explained(code: str) -> None:
    assert f"`{code}`" in guides()

"""Imports run down only, and the arithmetic knows no framework."""

import ast
from pathlib import Path

import pytest

from tests.layers import FRAMEWORKS, MAY_IMPORT, PURE_MODULES, ROOT, sources

# What is written is read here and nothing run that coverage would count.
pytestmark = pytest.mark.no_cover


def roots_imported(source: str) -> set[str]:
    """Return the first part of every module that a piece of source imports, wherever the import stands."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            names.add(node.module or "." * node.level)
    return {name.partition(".")[0] for name in names}


@pytest.mark.parametrize(
    ("source", "roots"),
    [
        ("import engines.units as u", {"engines"}),
        ("def f():\n    from django.db import models", {"django"}),
        ("from . import views", {""}),
        ("x = 'import django'", set()),
    ],
)
def test_imports_are_found_wherever_they_stand(source: str, roots: set[str]) -> None:
    assert roots_imported(source) == roots


@pytest.mark.parametrize("path", sources(*MAY_IMPORT), ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_run_down_only(path: Path) -> None:
    package = path.relative_to(ROOT).parts[0]
    ours = set(MAY_IMPORT) | {"tests", ""}
    assert roots_imported(path.read_text(encoding="utf8")) & ours <= MAY_IMPORT[package]


@pytest.mark.parametrize("name", PURE_MODULES)
def test_arithmetic_imports_no_framework(name: str) -> None:
    assert not roots_imported((ROOT / name).read_text(encoding="utf8")) & FRAMEWORKS


def files_imported(source: str) -> set[str]:
    """Return the files of this project that a piece of source imports from; a package itself is none."""
    found = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.ImportFrom) and node.module]
    dotted = {node.module or "" for node in found}
    dotted |= {f"{node.module}.{alias.name}" for node in found for alias in node.names}
    names = {f"{name.replace('.', '/')}.py" for name in dotted}
    return {name for name in names if (ROOT / name).is_file()}


@pytest.mark.parametrize("name", PURE_MODULES)
def test_arithmetic_leans_on_arithmetic_only(name: str) -> None:
    """A pure module may import no module of this project that is not pure itself."""
    assert files_imported((ROOT / name).read_text(encoding="utf8")) <= set(PURE_MODULES)


def modules_imported(source: str) -> set[str]:
    """Return every part of every dotted name that a piece of source imports from."""
    nodes = list(ast.walk(ast.parse(source)))
    names = [node.module or "" for node in nodes if isinstance(node, ast.ImportFrom)]
    names += [alias.name for node in nodes if isinstance(node, ast.Import) for alias in node.names]
    return {part for name in names for part in name.split(".")}


def test_every_module_without_a_framework_is_listed_as_pure() -> None:
    """A new module of arithmetic falls under the full coverage gate without anybody remembering to list it."""
    records = FRAMEWORKS | {"models", "queries", "actions", "web"}
    free = {
        str(path.relative_to(ROOT))
        for path in sources("engines", "inspections")
        if path.name != "__init__.py" and not modules_imported(path.read_text(encoding="utf8")) & records
    }
    assert free == set(PURE_MODULES) - {name for name in PURE_MODULES if name.startswith("logbook/")}

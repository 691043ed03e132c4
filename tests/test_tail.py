"""Nothing grows past what can be read in one sitting: files, function bodies, branches, scripts, templates."""

import ast
from pathlib import Path

import pytest

from tests.layers import MAY_IMPORT, ROOT, sources

# What is written is read here and nothing run that coverage would count.
pytestmark = pytest.mark.no_cover

FILE_LINES = 400
BODY_LINES = 40
BRANCHES = 10
PAGE_LINES = 150

Function = ast.FunctionDef | ast.AsyncFunctionDef
BRANCHING = (ast.If, ast.For, ast.AsyncFor, ast.While, ast.ExceptHandler, ast.IfExp, ast.comprehension)


def body_lines(function: Function) -> int:
    """Return the lines of a function from ``def`` to its end, its docstring left out."""
    lines = (function.end_lineno or function.lineno) - function.lineno + 1
    if ast.get_docstring(function) is None:
        return lines
    docstring = function.body[0]
    return lines - ((docstring.end_lineno or docstring.lineno) - docstring.lineno + 1)


def branch_count(function: Function) -> int:
    """Return one more than the places where a function may go two ways."""
    count = 1
    for node in ast.walk(function):
        if isinstance(node, BRANCHING):
            count += 1
        elif isinstance(node, ast.BoolOp):
            count += len(node.values) - 1
        elif isinstance(node, ast.Match):
            count += len(node.cases) - 1
    return count


def functions(source: str) -> list[Function]:
    """Return every function and method in a piece of source, inner ones included."""
    return [node for node in ast.walk(ast.parse(source)) if isinstance(node, Function)]


@pytest.mark.parametrize(
    ("source", "lines", "branches"),
    [
        ("def f():\n    return 1\n", 2, 1),
        ('def f():\n    """Say.\n\n    More.\n    """\n    return 1\n', 2, 1),
        ("def f(a, b):\n    return a and b or [x for x in a if x]\n", 2, 4),
        ("def f(a):\n    match a:\n        case 1:\n            pass\n        case _:\n            pass\n", 6, 2),
        ("def f():\n    try:\n        pass\n    except OSError:\n        pass\n", 5, 2),
    ],
)
def test_the_counters_count(source: str, lines: int, branches: int) -> None:
    (function,) = functions(source)
    assert (body_lines(function), branch_count(function)) == (lines, branches)


@pytest.mark.parametrize("path", sources(*MAY_IMPORT, "tests"), ids=lambda path: str(path.relative_to(ROOT)))
def test_python_stays_readable(path: Path) -> None:
    source = path.read_text(encoding="utf8")
    assert source.count("\n") <= FILE_LINES
    long = {f.name: body_lines(f) for f in functions(source) if body_lines(f) > BODY_LINES}
    branching = {f.name: branch_count(f) for f in functions(source) if branch_count(f) > BRANCHES}
    assert (long, branching) == ({}, {})


def pages() -> list[Path]:
    """Return every script and template of our own; files of others stand in a ``vendor`` folder."""
    found = [*ROOT.glob("*/static/**/*.js"), *(ROOT / "templates").rglob("*.html"), *(ROOT / "templates").rglob("*.js")]
    return sorted(path for path in found if "vendor" not in path.parts and ".venv" not in path.parts)


@pytest.mark.parametrize("path", pages(), ids=lambda path: str(path.relative_to(ROOT)))
def test_scripts_and_templates_stay_readable(path: Path) -> None:
    assert path.read_text(encoding="utf8").count("\n") <= PAGE_LINES

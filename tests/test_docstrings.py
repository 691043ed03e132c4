"""Every public function of a pure module says its parameters, result and errors in its docstring."""

import ast

import pytest

from tests.layers import PURE_MODULES, ROOT

# What is written is read here and nothing run that coverage would count.
pytestmark = pytest.mark.no_cover


def public_functions(source: str) -> list[ast.FunctionDef]:
    """Return the functions of a module that others may call."""
    return [node for node in ast.parse(source).body if isinstance(node, ast.FunctionDef) and node.name[0] != "_"]


def section(docstring: str, title: str) -> str:
    """Return the text under a numpydoc heading, or nothing when the heading is absent."""
    _, heading, rest = docstring.partition(f"{title}\n{'-' * len(title)}\n")
    return rest.partition("\n---")[0] if heading else ""


def missing(function: ast.FunctionDef) -> set[str]:
    """Return the parameters and headings that a function's docstring lacks."""
    docstring = ast.get_docstring(function) or ""
    arguments = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    described = section(docstring, "Parameters")
    lacking = {a.arg for a in arguments if a.arg not in described}
    if ast.unparse(function.returns or ast.Constant(None)) != "None" and not (
        section(docstring, "Returns") or section(docstring, "Yields")
    ):
        lacking.add("Returns")
    if any(isinstance(node, ast.Raise) for node in ast.walk(function)) and not section(docstring, "Raises"):
        lacking.add("Raises")
    return lacking


@pytest.mark.parametrize(
    ("source", "lacking"),
    [
        ("def f(a) -> int:\n    '''Say.'''\n    raise ValueError", {"a", "Returns", "Raises"}),
        ("def f(a) -> None:\n    '''Say.\n\n    Parameters\n    ----------\n    a : int\n    '''", set()),
        ("def f() -> int:\n    '''Say.\n\n    Returns\n    -------\n    int\n    '''", set()),
        ("def f() -> int:\n    return 1", {"Returns"}),
    ],
)
def test_what_is_missing_is_seen(source: str, lacking: set[str]) -> None:
    (function,) = public_functions(source)
    assert missing(function) == lacking


@pytest.mark.parametrize("name", PURE_MODULES)
def test_public_arithmetic_is_documented(name: str) -> None:
    functions = public_functions((ROOT / name).read_text(encoding="utf8"))
    assert {f.name: missing(f) for f in functions if missing(f)} == {}

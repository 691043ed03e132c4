"""The engine against its exact-rational twin, on thousands of random traces."""

import math
from fractions import Fraction
from typing import Any

import numpy as np
from hypothesis import HealthCheck, given, settings

from engines.documents import engine_type_read
from engines.traces import Trace
from inspections.exceedance import judge
from tests import twin
from tests.twin.strategies import Generated, cases

WORDS = {"reason"}  # told in each one's own words
CLOSE = 1e-9


def floats(column: list[Fraction | None]) -> np.ndarray:
    """Return a column as the engine takes it."""
    return np.array([math.nan if x is None else float(x) for x in column])


def engine_says(case: Generated) -> dict[str, Any]:
    """Return the engine's verdict on a case."""
    trace = Trace(times=floats(list(case.times)), channels={name: floats(c) for name, c in case.columns.items()})
    return judge(trace, engine_type_read(case.document)).document()


def alike(ours: Any, exact: Any) -> bool:
    """Tell whether two single facts are the same, numbers to a billionth."""
    if isinstance(exact, bool) or not isinstance(exact, Fraction | int):
        return bool(ours == exact)
    return isinstance(ours, int | float) and math.isclose(ours, exact, rel_tol=CLOSE, abs_tol=CLOSE)


def parts_of(document: Any) -> dict[Any, Any] | None:
    """Return the parts of a document by key or place, None for a single fact."""
    if isinstance(document, dict):
        return {key: part for key, part in document.items() if key not in WORDS}
    return dict(enumerate(document)) if isinstance(document, list) else None


def differences(ours: Any, exact: Any, path: str = "") -> list[str]:
    """Return where two documents differ."""
    our_parts, parts = parts_of(ours), parts_of(exact)
    if our_parts is None or parts is None:
        return [] if alike(ours, exact) else [f"{path}: {ours!r}, expected {exact!r}"]
    if set(our_parts) != set(parts):
        return [f"{path}: {len(our_parts)} parts {list(our_parts)}, expected {len(parts)} parts {list(parts)}"]
    return [found for key in parts for found in differences(our_parts[key], parts[key], f"{path}.{key}")]


@settings(
    max_examples=2000,
    derandomize=True,
    deadline=None,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(cases())
def test_engine_agrees_with_the_twin(case: Generated) -> None:
    ours = engine_says(case)
    exact = twin.judge(case.document, case.times, case.columns)
    # Notes are told in each one's own words; only their number is compared.
    assert len(ours.pop("notes")) == len(exact.pop("notes"))
    assert differences(ours, exact) == []

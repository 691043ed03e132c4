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
from tests.twin.comparing import differences
from tests.twin.strategies import Generated, cases


def floats(column: list[Fraction | None]) -> np.ndarray:
    """Return a column as the engine takes it."""
    return np.array([math.nan if x is None else float(x) for x in column])


def engine_says(case: Generated) -> dict[str, Any]:
    """Return the engine's verdict on a case."""
    trace = Trace(times=floats(list(case.times)), channels={name: floats(c) for name, c in case.columns.items()})
    return judge(trace, engine_type_read(case.document)).document()


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

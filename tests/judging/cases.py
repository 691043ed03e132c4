"""Random cases as plain data, and what the server's engine says of them."""

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from engines.documents import engine_type_read
from engines.traces import Trace
from engines.unit_tables import unit_tables
from inspections.exceedance import judge
from inspections.readings import TypedReading, judge_reading
from tests.twin.strategies import Generated, cases, grid

PEAKS = grid(8, 9, 10, "41/4", "21/2", 11, 12, 14, 3, "7/2", 2)
SECONDS = grid(0, "1/2", 1, 2, 3, 5, 60)
JUDGE = """async (cases) => {
  const { judgeTrace } = await import("/judge/index.js");
  const array = (column) => Float64Array.from(column, (value) => value ?? NaN);
  return cases.map(({ document, times, columns, units }) => {
    const channels = Object.fromEntries(Object.entries(columns).map(([name, column]) => [name, array(column)]));
    return judgeTrace(document, { times: array(times), channels }, units);
  });
}"""
JUDGE_READINGS = """async (cases) => {
  const { judgeReadings } = await import("/judge/index.js");
  return cases.map(({ document, readings, units }) => judgeReadings(document, readings, units).excursions);
}"""


@dataclass(frozen=True)
class Judged:
    """A case with what was typed about it."""

    case: Generated
    readings: list[dict[str, Any]]

    def plain(self, document: dict[str, Any] | None = None) -> dict[str, Any]:
        """Return the case as a page takes it, by its own document or another."""
        document = document or self.case.document
        columns = {name: [plain(x) for x in column] for name, column in self.case.columns.items()}
        return {
            "document": document,
            "times": [plain(t) for t in self.case.times],
            "columns": columns,
            "readings": self.readings,
            "units": unit_tables(engine_type_read(document)),
        }


def plain(number: Fraction | None) -> float | None:
    """Return a rational as JSON writes it."""
    return None if number is None else float(number)


@st.composite
def judged_cases(draw: st.DrawFn) -> Judged:
    """Draw a case, and one or two readings of each of its charts."""
    case = draw(cases())
    readings = [
        {
            "chart": chart["name"],
            "unit": chart["unit"],
            "peak": plain(draw(st.sampled_from((None, *PEAKS)))),
            "seconds": plain(draw(st.sampled_from((None, *SECONDS)))),
        }
        for chart in case.document["charts"]
        for _ in range(draw(st.integers(1, 2)))
    ]
    return Judged(case, readings)


def drawn(count: int) -> list[Judged]:
    """Return so many cases, the same at each call."""
    found: list[Judged] = []

    @settings(
        max_examples=count,
        derandomize=True,
        deadline=None,
        database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
    @given(judged_cases())
    def keep(case: Judged) -> None:
        found.append(case)

    keep()
    return found


def in_fahrenheit(document: dict[str, Any]) -> dict[str, Any]:
    """Return a document with its charts of temperature in degrees Fahrenheit."""
    return document | {"charts": [_turned(chart) if chart["unit"] == "degC" else chart for chart in document["charts"]]}


def _turned(chart: dict[str, Any]) -> dict[str, Any]:
    def other(value: float) -> float:
        return value * 9 / 5 + 32

    side = chart["side"]
    areas = [
        area | {"allowed": [{side: other(v[side]), "seconds": v["seconds"]} for v in area["allowed"]]}
        for area in chart["areas"]
    ]
    return chart | {"unit": "°F", "limit": other(chart["limit"]), "areas": areas}


def server_says(case: dict[str, Any]) -> dict[str, Any]:
    """Return the engine's verdict on a case."""
    columns = {name: _floats(column) for name, column in case["columns"].items()}
    return judge(Trace(_floats(case["times"]), columns), engine_type_read(case["document"])).document()


def _floats(column: list[float | None]) -> np.ndarray:
    return np.array([math.nan if x is None else x for x in column])


def server_says_of_readings(case: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the engine's excursions by what was typed."""
    charts = {chart.name: chart for chart in engine_type_read(case["document"]).charts}
    found: list[dict[str, Any]] = []
    for typed in case["readings"]:
        number = 1 + sum(excursion["chart"] == typed["chart"] for excursion in found)
        excursion = judge_reading(charts[typed["chart"]], TypedReading(**typed), number)
        found += [] if excursion is None else [excursion.document()]
    return found

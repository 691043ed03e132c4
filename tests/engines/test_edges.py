"""Allowed-time functions: values, limits from below, inverses, and nesting."""

import numpy as np
import pytest

from engines.charts import Action, Area, LimitChart, Vertex
from engines.edges import Edge, edge_of, lies_inside

STEP = Edge(np.array([700.0, 720.0, 740.0]), np.array([60.0, 10.0, 0.0]), "step")
# A slope from 60 s to 20 s, a vertical edge at 720 from 20 s down to 10 s, and a slope to 0 s at 740.
LINE = Edge(np.array([700.0, 720.0, 720.0, 740.0]), np.array([60.0, 20.0, 10.0, 0.0]), "linear")


@pytest.mark.parametrize(
    ("value", "at", "before"),
    [(710.0, 60.0, 60.0), (720.0, 10.0, 60.0), (730.0, 10.0, 10.0), (740.0, 0.0, 10.0), (800.0, 0.0, 0.0)],
)
def test_a_step_holds_until_the_next_vertex(value: float, at: float, before: float) -> None:
    assert STEP.at(np.array([value]))[0] == at
    assert STEP.before(np.array([value]))[0] == before


@pytest.mark.parametrize(
    ("value", "at", "before"),
    [(710.0, 40.0, 40.0), (720.0, 10.0, 20.0), (730.0, 5.0, 5.0), (740.0, 0.0, 0.0), (800.0, 0.0, 0.0)],
)
def test_a_line_runs_between_vertices_and_takes_the_lower_at_a_vertical_edge(
    value: float, at: float, before: float
) -> None:
    assert LINE.at(np.array([value]))[0] == at
    assert LINE.before(np.array([value]))[0] == before


def test_the_first_vertex_begins_the_area() -> None:
    assert STEP.first == 700.0
    assert STEP.at(np.array([700.0]))[0] == LINE.at(np.array([700.0]))[0] == 60.0


@pytest.mark.parametrize(
    ("edge", "seconds", "than", "value"),
    [
        (STEP, 61.0, "less", 700.0), (STEP, 60.0, "less", 720.0), (STEP, 60.0, "at most", 700.0),
        (STEP, 0.0, "less", None), (STEP, 0.0, "at most", 740.0),
        (LINE, 40.0, "less", 710.0), (LINE, 40.0, "at most", 710.0), (LINE, 15.0, "less", 720.0),
        (LINE, 5.0, "less", 730.0), (LINE, 70.0, "at most", 700.0),
    ],
)  # fmt: skip
def test_where_so_short_a_time_is_allowed(edge: Edge, seconds: float, than: str, value: float | None) -> None:
    assert edge.reached_at(seconds, than) == value  # type: ignore[arg-type]


def test_a_low_limit_is_turned() -> None:
    area = Area("A", (Vertex(40.0, 5.0), Vertex(30.0, 0.0)), Action("Look", True))
    chart = LimitChart("Oil", "oil_press", "psi", 40.0, (area,), side="below")
    edge = edge_of(chart, area)
    assert edge.values.tolist() == [-40.0, -30.0]
    assert edge.seconds.tolist() == [5.0, 0.0]


@pytest.mark.parametrize(
    ("inner", "outer", "inside"),
    [
        (STEP, STEP, True),
        (Edge(np.array([710.0]), np.array([60.0]), "step"), STEP, True),
        (Edge(np.array([690.0]), np.array([60.0]), "step"), STEP, False),
        (Edge(np.array([710.0]), np.array([59.0]), "step"), STEP, False),
        (STEP, LINE, True),
        # Equal at both ends of the slope, but the step falls before the slope has: 20 s against 60 s just below 720.
        (LINE, STEP, False),
    ],
)
def test_an_area_lies_inside_another(inner: Edge, outer: Edge, inside: bool) -> None:
    assert lies_inside(inner, outer) is inside

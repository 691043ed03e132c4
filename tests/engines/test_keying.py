"""What a second person has to key of a changed document, and where the two keyings differ."""

from dataclasses import replace
from typing import Any

import pytest

from engines.charts import EngineTypeData, LimitChart
from engines.documents import engine_type_read
from engines.keying import Difference, charts_to_key, differences, figures_of
from tests.documents import type_document


@pytest.fixture
def data() -> EngineTypeData:
    """Return the type of the tests, its running chart with a rule of either kind."""
    document = type_document()
    document["charts"][1]["repeats"].append(
        {"above": 705, "seconds": 300, "since": "new", "action": {"summary": "Weigh", "before_next_flight": False}}
    )
    return engine_type_read(document)


@pytest.fixture
def running(data: EngineTypeData) -> LimitChart:
    """Return the chart of the running limit."""
    return data.charts[1]


def test_every_figure_that_chooses_an_inspection_is_keyed(running: LimitChart) -> None:
    assert [(figure.words, figure.unit, figure.value) for figure in figures_of(running)] == [
        ("Limit", "degC", 700),
        ("Area A, line 1: above", "degC", 700),
        ("Area A, line 1: seconds allowed", "s", 60),
        ("Area A, line 2: above", "degC", 720),
        ("Area A, line 2: seconds allowed", "s", 0),
        ("Area B, line 1: above", "degC", 720),
        ("Area B, line 1: seconds allowed", "s", 5),
        ("Area B, line 2: above", "degC", 760),
        ("Area B, line 2: seconds allowed", "s", 0),
        ("Repeat rule 1: how many events", "", 3),
        ("Repeat rule 2: above", "degC", 705),
        ("Repeat rule 2: seconds in all", "s", 300),
    ]
    assert len({figure.path for figure in figures_of(running)}) == 12


@pytest.mark.parametrize(
    ("changes", "names"),
    [
        ({}, []),
        ({"limit": 695.0}, ["ITT, running"]),
        ({"source": "another page"}, ["ITT, running"]),
        ({"name": "ITT, taxiing"}, ["ITT, taxiing"]),
    ],
)
def test_only_changed_charts_are_keyed(
    changes: dict[str, Any], names: list[str], data: EngineTypeData, running: LimitChart
) -> None:
    new = replace(data, charts=(data.charts[0], replace(running, **changes), data.charts[2]))
    assert [chart.name for chart in charts_to_key(data, new)] == names


def test_the_same_figures_do_not_differ(running: LimitChart) -> None:
    assert differences(running, {figure.path: figure.value for figure in figures_of(running)}) == ()


def test_a_figure_that_is_another_or_is_missing_differs(running: LimitChart) -> None:
    keyed: dict[str, float | None] = {figure.path: figure.value for figure in figures_of(running)}
    keyed |= {"limit": 701.0, "area B 1 seconds": None}
    del keyed["repeat 1 count"]
    assert differences(running, keyed) == (
        Difference("Limit", "degC", 700, 701),
        Difference("Area B, line 1: seconds allowed", "s", 5, None),
        Difference("Repeat rule 1: how many events", "", 3, None),
    )

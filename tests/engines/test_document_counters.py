"""What an engine type document says of counters, counting and places."""

from typing import Any

import pytest

from engines.counters import Counter, ExcursionRule, Position, RangeRule
from engines.documents import engine_type_read
from engines.errors import DocumentError
from tests.documents import type_document


def test_a_document_without_them_counts_the_standard_counters_only() -> None:
    read = engine_type_read(type_document())
    assert (read.counters, read.partial_cycles, read.airborne, read.positions) == ((), None, None, ())


def test_counters_rules_and_places_are_read() -> None:
    read = engine_type_read(
        type_document(
            counters=[{"name": "landings", "label": "Landings"}, {"name": "boost_time", "unit": "s"}],
            partial_cycles={"channel": "torque", "low": 30, "high": 70},
            airborne={"channel": "n1", "low": 1, "high": 2},
            positions=[{"name": "hot section"}, {"name": "disc", "within": "hot section", "part_numbers": ["D-1"]}],
        )
    )
    assert read.counters == (Counter("landings", "Landings"), Counter("boost_time", "boost_time", "s"))
    assert (read.partial_cycles, read.airborne) == (ExcursionRule("torque", 30, 70), ExcursionRule("n1", 1, 2))
    assert read.positions == (Position("hot section"), Position("disc", "hot section", ("D-1",)))


def test_ranges_are_asked_for_by_name() -> None:
    rule = {"method": "ranges", "channel": "torque", "least": 40}
    assert engine_type_read(type_document(partial_cycles=rule)).partial_cycles == RangeRule("torque", 40)


@pytest.mark.parametrize(
    ("changes", "path", "says"),
    [
        ({"counters": [{"name": "starts"}]}, "counters[0].name", "counted of every type"),
        ({"counters": [{"name": "x"}, {"name": "x"}]}, "counters[1].name", "used twice"),
        ({"counters": [{"name": "x", "unit": "h"}]}, "counters[0].unit", "count or s"),
        ({"counters": [{"name": "x", "weight": 1}]}, "counters[0].weight", "not known"),
        ({"partial_cycles": {"channel": "power", "low": 1, "high": 2}}, "partial_cycles.channel", "not a channel"),
        ({"partial_cycles": {"channel": "torque", "low": 2, "high": 2}}, "partial_cycles.high", "above low"),
        ({"partial_cycles": {"method": "guess"}}, "partial_cycles.method", "excursions or ranges"),
        ({"partial_cycles": {"method": "ranges", "channel": "n1", "least": 0}}, "partial_cycles.least", "above 0"),
        ({"airborne": {"method": "x", "channel": "n1", "low": 1, "high": 2}}, "airborne.method", "not known"),
        ({"positions": [{"name": "a", "within": "b"}, {"name": "b"}]}, "positions[0].within", "before this one"),
        ({"positions": [{"name": "a"}, {"name": "a"}]}, "positions[1].name", "used twice"),
    ],
)
def test_faults_name_their_path(changes: dict[str, Any], path: str, says: str) -> None:
    with pytest.raises(DocumentError) as caught:
        engine_type_read(type_document(**changes))
    assert says in caught.value.fields[path]

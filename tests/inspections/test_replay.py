"""What a changed revision would change, read from as few runs as can be affected."""

import datetime
import io
from typing import Any

import pytest

from engines import actions as engine_actions
from engines.models import Engine, TypeRevision
from inspections.replay import replay
from logbook.models import Person
from tests.documents import type_document
from tests.inspections.test_judging import recorded
from tests.runs import facts, hot


@pytest.fixture
def runs(engine: Engine, mechanic: Person) -> list[Any]:
    """Return runs that are within, just above, for a minute, and very hot; and one with a reading only."""
    traces = [[650.0] * 20, hot(30, 703.0), hot(70, 715.0), hot(30, 750.0)]
    found = [recorded(engine, mechanic, trace=trace, day=day) for day, trace in enumerate(traces)]
    return [*found, recorded(engine, mechanic, ("ITT, running", 715.0, 45.0), day=5)]


def drafted(engine: Engine, by: Person, **changes: Any) -> TypeRevision:
    document = type_document(name=engine.engine_type.name)
    document["charts"][1] |= changes
    return entered(engine, by, document)


def entered(engine: Engine, by: Person, document: dict[str, Any]) -> TypeRevision:
    return engine_actions.revision_enter(
        engine_type=engine.engine_type, document=document, source="Bulletin", by=by,
        in_force_from=datetime.date(2026, 6, 1),
    )  # fmt: skip


def tightened() -> list[dict[str, Any]]:
    areas: list[dict[str, Any]] = type_document()["charts"][1]["areas"]
    areas[0]["allowed"][0]["seconds"] = 40
    return areas


def test_only_runs_that_can_be_affected_are_read(engine: Engine, director: Person, runs: list[Any]) -> None:
    found = replay(drafted(engine, director, areas=tightened()))
    assert (found.runs_total, found.runs_read, found.against.number) == (5, 4, 1)
    assert [(change.run, change.before, change.after) for change in found.changes] == [(runs[4], (), ("A",))]


def test_a_lower_limit_reads_what_it_can_reach(engine: Engine, director: Person, runs: list[Any]) -> None:
    areas = [
        {
            "name": "A",
            "allowed": [{"above": 640, "seconds": 5}],
            "action": {"summary": "Look", "before_next_flight": True},
        }
    ]
    found = replay(drafted(engine, director, limit=640, areas=areas, repeats=[]))
    assert found.runs_read == 5
    assert {change.run for change in found.changes} >= {runs[0], runs[1]}


def test_an_unchanged_revision_reads_nothing(engine: Engine, director: Person, runs: list[Any]) -> None:
    found = replay(drafted(engine, director))
    assert (found.runs_total, found.runs_read, found.changes) == (5, 0, ())


def test_a_chart_that_is_dropped_changes_what_it_called_for(engine: Engine, director: Person, runs: list[Any]) -> None:
    document = type_document(name=engine.engine_type.name)
    del document["charts"][1]
    found = replay(entered(engine, director, document))
    assert [(change.before, change.after) for change in found.changes] == [(("A",), ()), (("B",), ())]


@pytest.mark.parametrize(
    ("member", "value"),
    [("max_gap_s", 0.5), ("segmentation", type_document()["segmentation"] | {"idle": 60})],
)
def test_what_changes_how_a_trace_is_read_concerns_every_chart_it_bears_on(
    engine: Engine, director: Person, runs: list[Any], member: str, value: Any
) -> None:
    document = type_document(name=engine.engine_type.name) | {member: value}
    found = replay(entered(engine, director, document))
    assert found.runs_read == 4


def test_the_first_revision_is_compared_with_itself(engine: Engine, runs: list[Any]) -> None:
    found = replay(engine.engine_type.revisions.get(number=1))
    assert (found.runs_read, found.changes) == (0, ())


def test_a_low_limit_looks_at_the_lowest(engine: Engine, director: Person, mechanic: Person) -> None:
    run = engine_actions.run_record(engine=engine, facts=facts(), by=mechanic)
    rows = "\n".join(f"{t},90,{45 if t != 5 else 41}" for t in range(20))
    file = io.BytesIO(f"time_s,n1,oil_press\n{rows}\n".encode())
    engine_actions.trace_add(run=run, file=file, name="gauge.csv", by=mechanic)
    document = type_document(name=engine.engine_type.name)
    document["charts"][2]["limit"] = 42
    document["charts"][2]["areas"][0]["allowed"] = [{"below": 42, "seconds": 0}]
    found = replay(entered(engine, director, document))
    assert (found.runs_read, [change.after for change in found.changes]) == (1, [("A",)])

from datetime import timedelta
from decimal import Decimal

import pytest

from engines.latest import latest_of, meter_before
from engines.models import Engine
from logbook.models import Person
from tests.factories import STARTED_AT, ReadingFactory, RunFactory


@pytest.fixture
def runs(engine: Engine, mechanic: Person) -> Engine:
    """Return an engine of two runs, not everything read in both."""
    first = RunFactory.create(
        engine=engine, recorded_by=mechanic, typed_meter_h=4311.2, typed_run_time_s=3600, run_time_s=3600
    )
    ReadingFactory.create(run=first, peak=710.0)
    later = STARTED_AT + timedelta(days=1)
    second = RunFactory.create(
        engine=engine, recorded_by=mechanic, started_at=later, typed_run_time_s=5040, run_time_s=5040
    )
    ReadingFactory.create(run=second, peak=None)
    return engine


def test_the_newest_figure_of_each_box_is_the_last(runs: Engine, mechanic: Person) -> None:
    found = {name: (last.value, last.unit, str(last.on)) for name, last in latest_of(runs).items()}
    assert found == {
        "meter": (Decimal("4311.2"), "h", "2026-05-04"),
        "run_time": (Decimal("1.4"), "h", "2026-05-05"),
        "ITT, running": (Decimal("710.0"), "degC", "2026-05-04"),
    }
    assert {last.by for last in latest_of(runs).values()} == {str(mechanic)}


def test_what_is_last_takes_two_questions_to_the_database(
    runs: Engine, django_assert_num_queries: pytest.FixtureRequest
) -> None:
    with django_assert_num_queries(2):  # type: ignore[operator]
        latest_of(runs)


def test_the_meter_is_read_before_the_run_and_runs_in_between_count(runs: Engine) -> None:
    assert meter_before(runs, STARTED_AT) is None
    before = meter_before(runs, STARTED_AT + timedelta(days=2))
    assert before is not None
    assert (before.hours, before.said, before.between_h) == (Decimal("4311.2"), " on 2026-05-04", Decimal("1.4"))

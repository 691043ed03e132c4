"""The factories make rows that belong together, and the cast is who it says."""

import pytest

from engines.models import Engine
from inspections.models import Inspection
from logbook.models import Person
from tests.factories import ComponentFactory, InspectionFactory, ReadingFactory, StepFactory


@pytest.mark.django_db
def test_rows_made_together_belong_to_one_operator() -> None:
    step, reading, component = StepFactory.create(), ReadingFactory.create(), ComponentFactory.create()
    for row in (step, step.inspection, step.inspection.run, step.inspection.engine, reading, component):
        row.full_clean(exclude=["password"])
    inspection: Inspection = step.inspection
    owners = {
        inspection.operator,
        inspection.run.operator,
        inspection.engine.operator,
        inspection.engine.engine_type.operator,
        inspection.revision.entered_by.operator,
        inspection.run.recorded_by.operator,
    }
    assert len(owners) == 1


@pytest.mark.django_db
def test_inspections_of_one_operator_are_numbered() -> None:
    first: Inspection = InspectionFactory.create()
    second: Inspection = InspectionFactory.create(run=first.run, rule="area A")
    assert (first.number, second.number) == (1, 2)


def test_the_engine_has_limits_in_force(engine: Engine) -> None:
    revision = engine.engine_type.revisions.get()
    assert [chart.name for chart in revision.data.charts] == ["ITT, starting", "ITT, running", "Oil pressure, running"]


@pytest.mark.parametrize("name", ["mechanic", "inspector", "director", "auditor", "stranger"])
def test_the_cast(name: str, request: pytest.FixtureRequest, engine: Engine) -> None:
    person: Person = request.getfixturevalue(name)
    assert person.check_password("only for tests")
    assert (person.operator == engine.operator) is (name != "stranger")
    assert person.certificates.exists() is (name != "auditor")
    assert person.role == ("director" if name == "stranger" else name)

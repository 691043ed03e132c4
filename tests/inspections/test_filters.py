import pytest

from inspections import states
from inspections.filters import InspectionFilter
from inspections.models import Inspection
from tests.factories import InspectionFactory


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("query", "found"),
    [
        ({}, set(states.LABELS)),
        ({"open": "true"}, set(states.UNSETTLED)),
        ({"open": "false"}, {states.APPROVED}),
        ({"state": states.IN_WORK}, {states.IN_WORK}),
        ({"before_next_flight": "false"}, set()),
    ],
)
def test_inspections_are_narrowed(query: dict[str, str], found: set[str]) -> None:
    for state in states.LABELS:
        InspectionFactory.create(state=state)
    assert {row.state for row in InspectionFilter(query, Inspection.objects.all()).qs} == found


def test_a_state_that_is_none_is_a_fault_of_its_field() -> None:
    assert list(InspectionFilter({"state": "lost"}, Inspection.objects.none()).errors) == ["state"]

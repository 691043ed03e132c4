"""Handing an open inspection over: in words, to a person who was told, who takes it by name; nothing closes by it."""

from typing import Any

import pytest

from engines.errors import DomainError
from inspections import states
from inspections.actions import HandoverFacts, handover_give, handover_take, step_answer
from inspections.models import Handover, Inspection
from inspections.queries import handover_for, handovers_waiting, jobs_of
from logbook.models import Person
from tests.factories import InspectionFactory, PersonFactory, StepFactory

SAID = HandoverFacts("Borescope done", "Gauge check", "Nick in blade 7", "Igniter 2, on the bench")


@pytest.fixture
def job(mechanic: Person) -> Inspection:
    """Return an inspection in the mechanic's hands."""
    return InspectionFactory.create(run__engine__operator=mechanic.operator, assigned_to=mechanic, state=states.IN_WORK)


def given(job: Inspection, by: Person, told_to: Person, **changes: Any) -> Handover:
    """Hand the job over, one thing said differently."""
    return handover_give(inspection=job, facts=HandoverFacts(**{**vars(SAID), **changes}), told_to=told_to, by=by)


def test_a_job_is_the_next_persons_only_when_taken(job: Inspection, mechanic: Person, inspector: Person) -> None:
    handover = given(job, mechanic, inspector)
    job.refresh_from_db()
    assert (job.assigned_to, job.state, list(handovers_waiting(inspector))) == (mechanic, states.IN_WORK, [handover])
    taking = handover_take(handover=handover, by=inspector)
    job.refresh_from_db()
    assert (job.assigned_to, job.state, taking.by, list(handovers_waiting(inspector))) == (
        inspector,
        states.IN_WORK,
        inspector,
        [],
    )
    assert handover_for(mechanic, handover.pk).taking == taking
    assert list(jobs_of(inspector)) == [job]
    assert list(jobs_of(mechanic)) == []


@pytest.mark.parametrize("unsaid", ["done", "not_done", "watch_for", "parts_off"])
def test_nothing_is_left_unsaid(unsaid: str, job: Inspection, mechanic: Person, inspector: Person) -> None:
    with pytest.raises(DomainError) as refused:
        given(job, mechanic, inspector, **{unsaid: " "})
    assert (refused.value.code, list(refused.value.fields)) == ("text_missing", [unsaid])


def test_a_job_goes_to_somebody_else_of_the_operator(job: Inspection, mechanic: Person, stranger: Person) -> None:
    for told_to, code in ((mechanic, "handover_refused"), (stranger, "not_of_operator")):
        with pytest.raises(DomainError) as refused:
            given(job, mechanic, told_to)
        assert refused.value.code == code


def test_only_who_was_told_takes_it_and_once(
    job: Inspection, mechanic: Person, inspector: Person, director: Person
) -> None:
    handover = given(job, mechanic, inspector)
    for by in (mechanic, director):
        with pytest.raises(DomainError, match=f"Only {inspector}, who was told, can take it"):
            handover_take(handover=handover, by=by)
    handover_take(handover=handover, by=inspector)
    with pytest.raises(DomainError, match="It is taken already"):
        handover_take(handover=handover, by=inspector)


def test_a_newer_handover_stands_for_the_older(
    job: Inspection, mechanic: Person, inspector: Person, director: Person
) -> None:
    older, newer = given(job, mechanic, inspector), given(job, mechanic, director)
    assert list(handovers_waiting(mechanic)) == [newer]
    with pytest.raises(DomainError, match="handed over again since"):
        handover_take(handover=older, by=inspector)


def test_an_approved_inspection_is_not_handed_over(job: Inspection, mechanic: Person, inspector: Person) -> None:
    handover = given(job, mechanic, inspector)
    Inspection.objects.update(state=states.APPROVED)
    assert list(handovers_waiting(inspector)) == []
    with pytest.raises(DomainError) as give:
        given(job, mechanic, inspector)
    with pytest.raises(DomainError) as take:
        handover_take(handover=handover, by=inspector)
    assert (give.value.code, take.value.code) == ("closed", "closed")


def test_a_handover_stays_as_written(job: Inspection, mechanic: Person, inspector: Person) -> None:
    handover = given(job, mechanic, inspector)
    handover.done = "Everything"
    with pytest.raises(TypeError):
        handover.save()
    with pytest.raises(TypeError):
        handover.delete()


def test_a_job_of_nobody_is_left_by_who_worked_on_it(mechanic: Person, inspector: Person) -> None:
    job = InspectionFactory.create(run__engine__operator=mechanic.operator)
    step_answer(step=StepFactory.create(inspection=job), answer="done", reason="", by=mechanic)
    assert (list(jobs_of(mechanic)), list(jobs_of(inspector))) == ([job], [])


def test_another_operator_sees_no_handover(
    job: Inspection, mechanic: Person, inspector: Person, stranger: Person
) -> None:
    handover = given(job, mechanic, inspector)
    assert list(handovers_waiting(stranger)) == []
    with pytest.raises(Handover.DoesNotExist):
        handover_for(stranger, handover.pk)
    assert handovers_waiting(PersonFactory.create(operator=None)).count() == 0

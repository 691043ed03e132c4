"""Working inspections: what is refused, and what it takes to end one."""

import datetime
from typing import Any

import pytest
import time_machine

from engines.errors import DomainError
from engines.models import Engine
from inspections import actions, queries
from inspections.closing import Closing
from inspections.models import Inspection, Step
from logbook.models import Person
from tests.factories import InspectionFactory, RunFactory, StepFactory

TODAY = datetime.datetime(2026, 5, 20, 12, tzinfo=datetime.UTC)


@pytest.fixture(autouse=True)
def today() -> Any:
    with time_machine.travel(TODAY, tick=False):
        yield


@pytest.fixture
def inspection(engine: Engine) -> Inspection:
    inspection = InspectionFactory.create(run=RunFactory.create(engine=engine), required_inspection_item=True)
    for _ in range(2):
        StepFactory.create(inspection=inspection)
    return inspection


def refused(code: str, action: Any, **arguments: Any) -> DomainError:
    with pytest.raises(DomainError) as caught:
        action(**arguments)
    assert caught.value.code == code
    return caught.value


def steps_done(inspection: Inspection, by: Person) -> None:
    for step in inspection.steps.all():
        actions.step_answer(step=step, answer="done", reason="", by=by)


def closing(outcome: str = "approved", **changes: Any) -> Closing:
    stated = {
        "extent": "Hot section looked at in full", "completed_on": datetime.date(2026, 5, 19),
        "certificate_kind": "Mechanic", "certificate_number": "T-1", "signed_name": "Test Mechanic",
    }  # fmt: skip
    return Closing(outcome=outcome, **(stated | changes))


def test_a_step_is_answered_by_a_person_at_a_time(inspection: Inspection, mechanic: Person) -> None:
    step = inspection.steps.first()
    assert step is not None
    refused("answer_missing", actions.step_answer, step=step, answer="", reason="", by=mechanic)
    refused("text_missing", actions.step_answer, step=step, answer="not_done", reason=" ", by=mechanic)
    actions.step_answer(step=step, answer="not_applicable", reason=" No such part ", by=mechanic)
    step = Step.objects.get(pk=step.pk)
    assert (step.answer, step.reason, step.answered_by, step.answered_at) == (
        "not_applicable",
        "No such part",
        mechanic,
        TODAY,
    )
    inspection.refresh_from_db()
    assert inspection.state == "in_work"


def test_findings_and_corrective_actions(inspection: Inspection, mechanic: Person) -> None:
    refused("text_missing", actions.finding_add, inspection=inspection, text="", by=mechanic)
    finding = actions.finding_add(inspection=inspection, text="Blade tip burnt", by=mechanic)
    work = {
        "inspection": inspection, "description": "Blade replaced", "data_reference": "Manual 72-50, revision 9",
        "completed_on": TODAY.date(), "by": mechanic, "finding": finding,
    }  # fmt: skip
    refused("date_impossible", actions.action_add, **(work | {"completed_on": datetime.date(2026, 5, 21)}))
    refused("text_missing", actions.action_add, **(work | {"data_reference": ""}))
    other = InspectionFactory.create(run=inspection.run, rule="area A")
    refused("finding_unknown", actions.action_add, **(work | {"inspection": other}))
    action = actions.action_add(**work)
    assert list(finding.actions.all()) == [action]


def test_a_cause_that_is_found_is_said(inspection: Inspection, mechanic: Person) -> None:
    refused("cause_unknown", actions.cause_set, inspection=inspection, cause="maybe", text="", by=mechanic)
    refused("text_missing", actions.cause_set, inspection=inspection, cause="found", text="", by=mechanic)
    actions.cause_set(inspection=inspection, cause="found", text="Probe loose", by=mechanic)
    actions.cause_set(inspection=inspection, cause="not_found", text="", by=mechanic)
    inspection.refresh_from_db()
    assert (inspection.cause, inspection.cause_text) == ("not_found", "")


def test_an_inspection_is_given_to_people_of_the_operator(
    inspection: Inspection, director: Person, mechanic: Person, stranger: Person
) -> None:
    assign = actions.inspection_assign
    refused("not_of_operator", assign, inspection=inspection, to=stranger, by=director)
    assert assign(inspection=inspection, to=mechanic, by=director).assigned_to == mechanic
    assert assign(inspection=inspection, to=None, by=director).assigned_to is None


def test_the_second_person_did_none_of_the_work(
    inspection: Inspection, mechanic: Person, inspector: Person, director: Person
) -> None:
    second = actions.inspection_second
    refused("move_refused", second, inspection=inspection, by=inspector)
    steps_done(inspection, mechanic)
    actions.action_add(
        inspection=inspection, description="Cleaned", data_reference="Manual 1", completed_on=TODAY.date(), by=director
    )
    refused("second_person_needed", second, inspection=inspection, by=mechanic)
    refused("second_person_needed", second, inspection=inspection, by=director)
    assert second(inspection=inspection, by=inspector).second_by == inspector
    # Work after the second look calls for another look.
    actions.finding_add(inspection=inspection, text="One more thing", by=mechanic)
    inspection.refresh_from_db()
    assert inspection.second_by is None
    plain = InspectionFactory.create(run=inspection.run, rule="area A")
    refused("not_required", second, inspection=plain, by=inspector)


def test_an_inspection_is_approved_when_all_is_done(
    inspection: Inspection, engine: Engine, mechanic: Person, inspector: Person
) -> None:
    close = {"inspection": inspection, "by": mechanic, "closing": closing()}
    assert set(refused("closing_refused", actions.inspection_close, **close).fields) == {"steps", "second"}
    steps_done(inspection, mechanic)
    actions.inspection_second(inspection=inspection, by=inspector)
    release = actions.inspection_close(**close)
    assert (str(release), release.second_name) == ("Approved for return to service, Test Mechanic", str(inspector))
    assert "engine TB-0001 was inspected on 2026-05-19, at 0.0 h run time" in release.statement
    assert "called for by ITT, running, area B (source not recorded, limits revision 1)" in release.statement
    assert queries.condition_of(engine).is_serviceable
    refused("move_refused", actions.inspection_close, **close)
    refused("closed", actions.inspection_begin, inspection=inspection, by=mechanic)


def test_an_inspection_that_is_not_approved_holds_the_engine_until_it_is(
    inspection: Inspection, engine: Engine, mechanic: Person, inspector: Person
) -> None:
    inspection.before_next_flight = False
    inspection.save()
    finding = actions.finding_add(inspection=inspection, text="Blade tip burnt", by=mechanic)
    stated = closing("not_approved", given_to="The owner")
    actions.inspection_close(inspection=inspection, by=mechanic, closing=stated)
    assert queries.condition_of(engine).reasons == ("Inspection 1 was not approved: Hot section inspection",)
    refused("move_refused", actions.inspection_close, inspection=inspection, by=mechanic, closing=stated)
    assert actions.inspection_begin(inspection=inspection, by=mechanic).state == "in_work"
    steps_done(inspection, mechanic)
    actions.inspection_second(inspection=inspection, by=inspector)
    close = {"inspection": inspection, "by": mechanic, "closing": closing()}
    assert set(refused("closing_refused", actions.inspection_close, **close).fields) == {"findings"}
    actions.action_add(
        inspection=inspection, description="Replaced", data_reference="Manual 1", completed_on=TODAY.date(),
        by=mechanic, finding=finding,
    )  # fmt: skip
    actions.inspection_second(inspection=inspection, by=inspector)
    actions.inspection_close(**close)
    assert [release.outcome for release in inspection.releases.all()] == ["not_approved", "approved"]

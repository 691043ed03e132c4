"""The open list, and the work on one inspection."""

import datetime
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from engines.models import Engine
from inspections import states
from inspections.models import Inspection
from logbook.models import Person
from tests.factories import EngineFactory, InspectionFactory, RunFactory
from tests.logbook.screen_kit import HTMX, inspection_opened, signed_in, words


@pytest.fixture
def inspection(engine: Engine, mechanic: Person, client: Client) -> Inspection:
    """Return an inspection that a recorded run called for, its mechanic signed in."""
    signed_in(client, mechanic)
    return inspection_opened(engine, mechanic)


def send(client: Client, name: str, inspection: Inspection, *more: int, **sheet: Any) -> Any:
    """Send one sheet of the work."""
    headers = sheet.pop("headers", None)
    named = {key.replace("__", "-"): value for key, value in sheet.items()}
    return client.post(reverse(name, args=[inspection.pk, *more]), named, headers=headers)


def test_the_list_says_what_happened_and_who_has_it(client: Client, inspection: Inspection) -> None:
    page = words(client.get(reverse("inspection_list")))
    assert "1: Hot section inspection TB-0001 ITT, running: 770 °C, 20 s above the limit" in page
    assert "ITT, running, area B. invented manual 72-00, revision 3." in page
    assert "0 days Before the next flight. Nobody yet Open" in page
    assert "Open 0 to 2 days: 1 Open 3 to 7 days: 0 Open 8 to 30 days: 0 Open over 30 days: 0" in page
    assert "1 of 1 shown." in page


def test_ages_are_told_in_words_and_in_bands(client: Client, inspection: Inspection) -> None:
    with time_machine.travel(inspection.opened_at + datetime.timedelta(days=9)):
        client.force_login(inspection.run.recorded_by)
        page = words(client.get(reverse("inspection_list")))
    assert "9 days Before the next flight." in page
    assert "Open 8 to 30 days: 1" in page


def test_the_list_is_narrowed_by_engine_and_state(client: Client, inspection: Inspection) -> None:
    other: Engine = EngineFactory.create(operator=inspection.operator, serial="TB-0002")
    InspectionFactory(run=RunFactory(engine=other), state=states.APPROVED, summary="Settled")
    address = reverse("inspection_list")
    assert "No inspection answers to this." in words(client.get(address, {"engine": other.pk}))
    settled = words(client.get(address, {"engine": str(other.pk), "state": "approved"}))
    assert "2: Settled" in settled
    assert "1 of 1 shown, of 2 kept." in settled
    assert "Select a valid choice." in words(client.get(address, {"state": "asleep"}))
    assert "0 of 0 shown, of 1 kept." in words(client.get(address, {"before_next_flight": "false"}))


def test_a_long_list_costs_few_queries(
    client: Client, inspection: Inspection, django_assert_max_num_queries: Any
) -> None:
    for n in range(8):
        InspectionFactory(run=inspection.run, rule=f"area {n}", operator=inspection.operator)
    with django_assert_max_num_queries(10):
        client.get(reverse("inspection_list"))


def test_an_inspection_says_why_it_is_called_for(client: Client, inspection: Inspection) -> None:
    page = words(client.get(reverse("inspection_detail", args=[inspection.pk])))
    assert "Why it is called for ITT, running: 770 °C, 20 s above the limit" in page
    assert "Called for by ITT, running, area B ( limits revision 1 )" in page
    assert "Done to invented manual 72-00, revision 3" in page
    assert "A required inspection item: a second, different person must look at it." in page
    assert page.count("Not answered yet.") == 2
    assert "Read and sign" in page


def test_nothing_is_answered_for_the_person(client: Client, inspection: Inspection) -> None:
    markup = client.get(reverse("inspection_detail", args=[inspection.pk])).content.decode()
    assert " checked" not in markup
    assert 'aria-pressed="true"' not in markup


def test_a_step_is_done_with_one_press(client: Client, inspection: Inspection, mechanic: Person) -> None:
    response = send(client, "step_answer", inspection, 1, step1__answer="done")
    assert response["Location"] == reverse("inspection_detail", args=[inspection.pk])
    page = words(client.get(response["Location"]))
    assert f"Done . {mechanic}" in page
    assert "Step 1 is answered." in page
    assert "How it stands In work" in page


def test_htmx_gets_the_work_alone_with_its_notice(client: Client, inspection: Inspection) -> None:
    response = send(client, "step_answer", inspection, 1, step1__answer="done", headers=HTMX)
    markup = response.content.decode()
    assert response.status_code == 200
    assert "<html" not in markup
    assert markup.count('id="inspection-work"') == 1
    assert 'id="notices" class="notices" role="status" hx-swap-oob="true"' in markup
    assert "Step 1 is answered." in markup


@pytest.mark.parametrize("headers", [{}, HTMX])
def test_not_done_needs_a_reason_and_the_rest_is_kept(
    headers: dict[str, str], client: Client, inspection: Inspection
) -> None:
    response = send(client, "step_answer", inspection, 2, step2__answer="not_done", headers=headers)
    assert (response.status_code, inspection.steps.get(position=2).answer) == (422, "")
    assert "Say why it was not done, or why it does not apply." in words(response)
    send(
        client,
        "step_answer",
        inspection,
        2,
        step2__answer="not_applicable",
        step2__reason="No such gauge",
        headers=headers,
    )
    page = words(client.get(reverse("inspection_detail", args=[inspection.pk])))
    assert "Not applicable : No such gauge." in page


@pytest.mark.parametrize("answer", ["", "perhaps"])
def test_an_answer_that_is_none_is_refused(answer: str, client: Client, inspection: Inspection) -> None:
    assert send(client, "step_answer", inspection, 1, step1__answer=answer).status_code == 422
    assert send(client, "step_answer", inspection, 9, step9__answer="done").status_code == 404


def test_a_finding_and_its_action_are_recorded(client: Client, inspection: Inspection, mechanic: Person) -> None:
    send(client, "finding_add", inspection, finding__text="Nick in blade 7")
    finding = inspection.findings.get()
    send(
        client,
        "action_add",
        inspection,
        action__description="Blended the nick",
        action__data_reference="Invented manual, revision 3, 72-10",
        action__completed_on="2026-05-05",
        action__finding=finding.pk,
    )
    page = words(client.get(reverse("inspection_detail", args=[inspection.pk])))
    assert f"Nick in blade 7 {mechanic}" in page
    assert "Done Blended the nick Worked to Invented manual, revision 3, 72-10 Completed on 2026-05-05" in page
    assert "For the finding Nick in blade 7" in page


@pytest.mark.parametrize(
    ("name", "sheet", "says"),
    [
        ("finding_add", {"finding__text": " "}, "Say what was found."),
        ("action_add", {"action__description": "Typed"}, "Name the document, its revision and the section worked to."),
        ("action_add", {"action__description": "Typed", "action__completed_on": "soon"}, "Enter a valid date."),
        ("cause_set", {}, "Choose how far the cause is known."),
        ("cause_set", {"cause__cause": "found"}, "Say what the cause was."),
        ("cause_set", {"cause__cause": "guessed"}, "Select a valid choice."),
    ],
)
def test_a_sheet_of_the_work_that_is_not_whole_is_refused(
    name: str, sheet: dict[str, str], says: str, client: Client, inspection: Inspection
) -> None:
    response = send(client, name, inspection, **sheet)
    assert response.status_code == 422
    assert says in words(response)
    assert "Typed" in words(response) or "action__description" not in sheet


def test_work_that_is_still_to_come_is_refused_by_the_act(client: Client, inspection: Inspection) -> None:
    sheet = {"action__description": "Blended", "action__data_reference": "Manual", "action__completed_on": "2999-01-01"}
    response = send(client, "action_add", inspection, **sheet)
    assert (response.status_code, inspection.actions.count()) == (422, 0)
    assert "in the future" in words(response)


def test_the_cause_is_recorded(client: Client, inspection: Inspection) -> None:
    send(client, "cause_set", inspection, cause__cause="corrected", cause__text="Fuel nozzle 3 streaked")
    page = client.get(reverse("inspection_detail", args=[inspection.pk]))
    assert "Cause corrected : Fuel nozzle 3 streaked." in words(page)
    assert page.content.decode().count(" checked") == 1


def test_the_work_is_begun(client: Client, inspection: Inspection) -> None:
    assert "Begin the work" in words(client.get(reverse("inspection_detail", args=[inspection.pk])))
    send(client, "inspection_begin", inspection)
    inspection.refresh_from_db()
    page = words(client.get(reverse("inspection_detail", args=[inspection.pk])))
    assert inspection.state == states.IN_WORK
    assert "The work is begun." in page
    assert "Begin the work" not in page


def test_the_director_gives_it_to_a_person_of_the_operator(
    client: Client, inspection: Inspection, *, director: Person, mechanic: Person, auditor: Person, stranger: Person
) -> None:
    address = reverse("inspections_assign")
    detail = reverse("inspection_detail", args=[inspection.pk])
    assert f"{address}?chosen={inspection.pk}" in signed_in(client, director).get(detail).content.decode()
    given = client.post(address, {"chosen": [inspection.pk], "to": mechanic.pk})
    assert given["Location"] == detail
    inspection.refresh_from_db()
    assert inspection.assigned_to == mechanic
    assert f"In hand with: {mechanic}." in words(client.get(detail))
    for nobody in (auditor.pk, stranger.pk, ""):
        assert client.post(address, {"chosen": [inspection.pk], "to": nobody}).status_code == 422


def test_the_second_look_is_somebody_elses(
    client: Client, inspection: Inspection, inspector: Person, director: Person
) -> None:
    signed_in(client, inspector)
    send(client, "step_answer", inspection, 1, step1__answer="done")
    refused = send(client, "inspection_second", inspection, headers=HTMX)
    assert refused.status_code == 422
    assert refused["HX-Retarget"] == "#notices"
    assert "a second, different person has to" in words(refused)
    page = words(send(client, "inspection_second", inspection))
    assert "This was not done" in page
    signed_in(client, director)
    send(client, "inspection_second", inspection)
    shown = words(client.get(reverse("inspection_detail", args=[inspection.pk])))
    assert f"Looked at by {director}" in shown


def test_what_is_approved_is_read_only(client: Client, inspection: Inspection) -> None:
    Inspection.objects.update(state=states.APPROVED)
    page = words(client.get(reverse("inspection_detail", args=[inspection.pk])))
    assert "Approved for return to service" in page
    assert all(word not in page for word in ("Read and sign", "Record the finding", "Begin the work"))
    response = send(client, "finding_add", inspection, finding__text="Too late")
    assert (response.status_code, inspection.findings.count()) == (422, 0)
    assert "nothing more can be added" in words(response)

"""The screens of a handover, and where interrupted work goes on."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.models import Engine
from inspections.actions import inspection_assign, step_answer
from inspections.models import Handover, Inspection
from logbook.models import Person
from tests.factories import StepFactory
from tests.logbook.screen_kit import inspection_opened, signed_in, words


@pytest.fixture
def job(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection in the mechanic's hands."""
    return inspection_assign(inspection=inspection_opened(engine, mechanic), to=mechanic, by=mechanic)


@pytest.fixture
def sheet(inspector: Person) -> dict[str, Any]:
    """Return a complete sheet of a handover."""
    said = {"done": "Borescope done", "not_done": "Gauge check", "watch_for": "Nick in blade 7", "parts_off": "none"}
    return {**said, "told_to": inspector.pk}


def test_a_job_is_left_and_taken(
    client: Client, job: Inspection, mechanic: Person, inspector: Person, sheet: dict[str, Any]
) -> None:
    leaving = words(signed_in(client, mechanic).get(reverse("handover_list")))
    assert "Jobs I leave Inspection 1: Hot section inspection" in leaving
    response = client.post(reverse("handover_give", args=[job.pk]), sheet, follow=True)
    assert f"Handed over. It is yours until {inspector} takes it." in words(response)
    assert "Handed over; waits to be taken." in words(response)
    assert f"Waiting for others Inspection 1: Hot section inspection: waits for {inspector}" in words(response)

    taking = words(signed_in(client, inspector).get(reverse("handover_list")))
    assert f"Nick in blade 7 Parts off none Told {inspector}, face to face, by {mechanic}" in taking
    assert f"I, {inspector}, take inspection 1" in taking
    taken = client.post(reverse("handover_take", args=[Handover.objects.get().pk]), follow=True)
    assert "You have inspection 1 now." in words(taken)
    assert f"In hand with: {inspector}." in words(taken)
    assert f"{mechanic} to {inspector}" in words(taken)
    assert "It is not signed yet." in words(taken)


def test_the_wrong_person_is_refused_in_words(
    client: Client, job: Inspection, mechanic: Person, inspector: Person, *, director: Person, sheet: dict[str, Any]
) -> None:
    signed_in(client, mechanic).post(reverse("handover_give", args=[job.pk]), sheet)
    address = reverse("handover_take", args=[Handover.objects.get().pk])
    response = signed_in(client, director).post(address)
    assert response.status_code == 422
    assert f"Only {inspector}, who was told, can take it." in words(response)


@pytest.mark.parametrize("unsaid", ["done", "not_done", "watch_for", "parts_off", "told_to"])
def test_what_is_left_unsaid_is_asked_for_and_the_rest_kept(
    unsaid: str, client: Client, job: Inspection, *, mechanic: Person, sheet: dict[str, Any]
) -> None:
    response = signed_in(client, mechanic).post(reverse("handover_give", args=[job.pk]), sheet | {unsaid: ""})
    assert (response.status_code, Handover.objects.count()) == (422, 0)
    kept = "Borescope done" if unsaid != "done" else "Nick in blade 7"
    assert kept in response.content.decode()


def test_an_auditor_reads_handovers_and_leaves_none(client: Client, job: Inspection, auditor: Person) -> None:
    page = signed_in(client, auditor).get(reverse("handover_list"))
    assert "You have no open inspection in hand." in words(page)
    assert client.get(reverse("handover_give", args=[job.pk])).status_code == 403


def test_another_operators_job_is_not_there(
    client: Client, job: Inspection, mechanic: Person, *, stranger: Person, sheet: dict[str, Any]
) -> None:
    signed_in(client, mechanic).post(reverse("handover_give", args=[job.pk]), sheet)
    signed_in(client, stranger)
    assert client.get(reverse("handover_give", args=[job.pk])).status_code == 404
    assert client.post(reverse("handover_take", args=[Handover.objects.get().pk])).status_code == 404


def test_reopened_work_shows_where_it_stopped_and_three_steps_before(
    client: Client, job: Inspection, mechanic: Person
) -> None:
    address = reverse("inspection_detail", args=[job.pk])
    assert "Stopped at step" not in words(signed_in(client, mechanic).get(address))
    for _ in range(4):
        StepFactory.create(inspection=job)
    steps = list(job.steps.all())
    for step in steps[:4]:
        step_answer(step=step, answer="done", reason="", by=mechanic)
    page = client.get(address)
    assert "Stopped at step 5" in words(page)
    assert [step.position for step in page.context["stopped"].before] == [2, 3, 4]
    assert 'href="#step-5"' in page.content.decode()
    for step in steps[4:]:
        step_answer(step=step, answer="not_done", reason="Light gone", by=mechanic)
    assert "Stopped at step" not in words(client.get(address))


def test_nothing_answers_all_steps_at_once(client: Client, job: Inspection, mechanic: Person) -> None:
    page = signed_in(client, mechanic).get(reverse("inspection_detail", args=[job.pk]))
    acts = [reverse("step_answer", args=[job.pk, step.position]) for step in job.steps.all()]
    assert [page.content.decode().count(f'action="{act}"') for act in acts] == [1] * len(acts)
    assert 'aria-pressed="true"' not in page.content.decode()

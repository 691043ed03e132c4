"""The panel beside the list of inspections: what it shows, who asks for it, where its sheets lead back to."""

import io
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from engines.models import Engine
from inspections.actions import finding_add, inspection_assign
from inspections.models import Handover, Inspection, Taking
from logbook.actions import trace_enter
from logbook.models import Person
from tests.logbook.screen_kit import HTMX, inspection_opened, recording_csv, signed_in, words
from tests.stage import stage_set
from tests.walk import queries_in

LIST = reverse("inspection_list")
MOST = 10


@pytest.fixture
def opened(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection that a reading called for."""
    return inspection_opened(engine, mechanic)


def panel(client: Client, inspection: Inspection, query: str = "") -> Any:
    """Ask for the panel as the list's script does."""
    return client.get(f"{reverse('inspection_beside', args=[inspection.pk])}{query}", headers=HTMX)


def test_the_panel_says_why_and_what_happened_since(
    client: Client, opened: Inspection, mechanic: Person, inspector: Person
) -> None:
    said = dict.fromkeys(("done", "not_done", "watch_for", "parts_off"), "As written")
    handover = Handover.objects.create(inspection=opened, told_to=inspector, by=mechanic, **said)
    Taking.objects.create(handover=handover, by=inspector)
    finding_add(inspection=opened, text="Nick on a blade", by=mechanic)
    shown = words(panel(signed_in(client, mechanic), opened))
    assert f"Inspection {opened.number}: {opened.summary}" in shown
    assert "enters area B" in shown or "area B" in shown
    assert "No picture: no recorded trace shows this limit." in shown
    places = [
        shown.index(text)
        for text in (
            "Called for by ITT, running, area B",
            f"Entry 1 signed ({mechanic})",
            f"Handed over to {inspector} ({mechanic})",
            f"Taken ({inspector})",
            f"Found: Nick on a blade ({mechanic})",
        )
    ]
    assert len(set(places)) == len(places)
    assert places[2:] == sorted(places[2:])


def test_a_trace_is_shown_as_the_picture_that_explains_the_verdict(
    client: Client, opened: Inspection, mechanic: Person
) -> None:
    trace_enter(run=opened.run, file=io.BytesIO(recording_csv()), name="run.csv", by=mechanic)
    page = panel(signed_in(client, mechanic), opened).content.decode()
    assert page.count("<svg") >= 1
    assert 'id="beside' in page
    assert "No picture" not in page
    packed = opened.run.traces.get().packed
    packed.storage.delete(packed.name)
    assert "No picture" in words(panel(client, opened))


def test_whoever_may_gives_it_and_notes_it_and_is_back_at_the_panel(
    client: Client, opened: Inspection, director: Person, mechanic: Person
) -> None:
    asked = f"?serial=TB&page=1&beside={opened.pk}"
    page = panel(signed_in(client, director), opened, asked).content.decode()
    assert 'name="beside" value="serial=TB&amp;page=1"' in page
    back = f"{LIST}?serial=TB&page=1&beside={opened.pk}"
    given = {"chosen": opened.pk, "to": mechanic.pk, "beside": "serial=TB&page=1&x=1"}
    answer = client.post(reverse("inspections_assign"), given)
    assert (answer.status_code, answer["Location"]) == (302, back)
    noted = client.post(reverse("note_add", args=[opened.pk]), {"note-text": "Parts asked for", "beside": "serial=TB"})
    assert noted["Location"] == f"{LIST}?serial=TB&beside={opened.pk}"
    assert f"Note: Parts asked for ({director})" in words(panel(client, opened))
    refused = client.post(reverse("note_add", args=[opened.pk]), {"note-text": "", "beside": ""})
    assert refused.status_code == 422
    plain = client.post(reverse("inspections_assign"), {"chosen": opened.pk, "to": mechanic.pk})
    assert plain["Location"] == reverse("inspection_detail", args=[opened.pk])


def test_the_auditor_reads_it_and_changes_nothing(client: Client, opened: Inspection, auditor: Person) -> None:
    page = panel(signed_in(client, auditor), opened)
    assert (page.status_code, b"<form" in page.content) == (200, False)


def test_without_script_the_lists_address_shows_it_in_short(
    client: Client, opened: Inspection, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    here = client.get(reverse("inspection_beside", args=[opened.pk]), {"serial": "TB"})
    assert here["Location"] == f"{LIST}?serial=TB&beside={opened.pk}"
    assert client.get(reverse("inspection_beside", args=[opened.pk]))["Location"] == f"{LIST}?beside={opened.pk}"
    shown = words(client.get(here["Location"]))
    assert "Its picture, history and notes stand on its own page" in shown
    assert "In hand with nobody yet" in shown
    elsewhere = words(client.get(LIST, {"serial": "XX", "beside": opened.pk}))
    assert "An inspection that is not among these rows" in elsewhere
    for asked in ("x", "9" * 30, ""):
        assert "beside-title" not in client.get(LIST, {"beside": asked}).content.decode()


def test_another_operators_inspection_is_not_there(client: Client, opened: Inspection, stranger: Person) -> None:
    assert panel(signed_in(client, stranger), opened).status_code == 404
    shown = client.get(LIST, {"beside": opened.pk}).content.decode()
    assert opened.summary not in shown


@pytest.mark.django_db
def test_it_asks_for_no_more_of_the_database_than_a_screen() -> None:
    stage = stage_set()
    client = Client()
    client.force_login(stage.people["director"])
    inspection = Inspection.objects.get(pk=stage.places["inspections/", "pk"])
    inspection_assign(inspection=inspection, to=stage.people["mechanic"], by=stage.people["director"])
    with CaptureQueriesContext(connection) as asked:
        assert panel(client, inspection).status_code == 200
    assert queries_in(asked) <= MOST
    with CaptureQueriesContext(connection) as asked:
        assert client.get(LIST, {"beside": inspection.pk}).status_code == 200
    assert queries_in(asked) <= MOST

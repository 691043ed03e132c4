"""Limits in force: as tables, entered by one person, replayed, and adopted by another."""

import json
from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from engines.actions import revision_enter
from engines.models import Engine, EngineType, TypeRevision
from logbook.models import Person
from tests.documents import type_document
from tests.keying import draft_keyed
from tests.logbook.screen_kit import run_with_inspection, signed_in, words


@pytest.fixture
def engine_type(engine: Engine) -> EngineType:
    """Return the type of the engine, named as its document is."""
    EngineType.objects.filter(pk=engine.engine_type_id).update(name="Testbird TB-1")
    return EngineType.objects.get(pk=engine.engine_type_id)


def changed_document() -> dict[str, Any]:
    """Return the document with the running limit tightened."""
    document = type_document()
    chart = document["charts"][1]
    chart["areas"][0]["allowed"] = [{"above": 700, "seconds": 5}, {"above": 720, "seconds": 0}]
    return document


@pytest.fixture
def draft(engine_type: EngineType, inspector: Person) -> TypeRevision:
    """Return a draft that the inspector entered."""
    return revision_enter(
        engine_type=engine_type,
        document=changed_document(),
        source="Invented bulletin 4",
        in_force_from=date(2026, 6, 1),
        by=inspector,
    )


def test_the_list_tells_what_is_in_force_and_what_waits(client: Client, draft: TypeRevision, mechanic: Person) -> None:
    page = words(signed_in(client, mechanic).get(reverse("limits_list")))
    assert "Revision 2 : draft, waits for a second person , from 2026-06-01. Invented bulletin 4" in page
    assert "Revision 1 : in force , from the beginning. invented for the tests" in page
    assert "Enter a new revision" not in page


def test_charts_are_tables_with_their_sources(client: Client, engine_type: EngineType, mechanic: Person) -> None:
    revision = engine_type.revisions.get()
    page = words(signed_in(client, mechanic).get(reverse("limits_detail", args=[revision.pk])))
    for text in (
        "In force from the beginning",
        f"Entered by {revision.entered_by}",
        "Checked by not recorded",
        "Interstage turbine temperature 700 °C, not above Judged in running, stopping",
        "above 700 °C, to 720 °C A over 60 s",
        "above 760 °C B at once",
        "Area B: Hot section inspection. Before the next flight. A required inspection item. To invented manual 72-00",
        "3 events in area A or beyond since overhaul, causes corrected not counted: Borescope inspection",
        "40 psi, not below",
        "Source invented for the tests, page 2",
    ):
        assert text in page


def test_replay_shows_what_would_change(client: Client, engine: Engine, draft: TypeRevision, mechanic: Person) -> None:
    run_with_inspection(engine, mechanic, peak=718.0, seconds=20.0)
    run_with_inspection(engine, mechanic, peak=690.0, seconds=0.0)
    address = reverse("limits_detail", args=[draft.pk])
    assert "Show what it would change" in words(signed_in(client, mechanic).get(address))
    page = words(client.get(address, {"replay": "1"}))
    assert "Against revision 1: 1 change. 2 of 2 runs read" in page
    assert "ITT, running no area area A" in page


def test_a_second_person_adopts(client: Client, draft: TypeRevision, inspector: Person, director: Person) -> None:
    address = reverse("limits_detail", args=[draft.pk])
    assert "You entered it, so you cannot check it." in words(signed_in(client, inspector).get(address))
    refused = client.post(reverse("limits_adopt", args=[draft.pk]))
    assert refused.status_code == 422
    assert "a second person has to compare them with the source" in words(refused)
    page = words(signed_in(client, director).get(address))
    assert "It can be adopted when every changed chart is keyed a second time and agrees." in page
    refused = client.post(reverse("limits_adopt", args=[draft.pk]))
    assert "Not keyed a second time, or not in agreement: ITT, running." in words(refused)
    draft_keyed(draft, director)
    assert "I have compared it with the source: adopt it" in words(client.get(address))
    assert client.post(reverse("limits_adopt", args=[draft.pk]))["Location"] == address
    draft.refresh_from_db()
    assert (draft.is_adopted, draft.checked_by) == (True, director)
    page = words(client.get(address))
    assert f"Checked by {director}" in page
    assert "adopt it" not in page


def test_a_revision_that_is_not_in_force_yet_says_so(client: Client, draft: TypeRevision, director: Person) -> None:
    TypeRevision.objects.filter(pk=draft.pk).update(in_force_from=date(2999, 1, 1), is_adopted=True)
    signed_in(client, director)
    assert "Adopted, waits for its day" in words(client.get(reverse("limits_detail", args=[draft.pk])))
    assert "adopted, waits for its day , from 2999-01-01" in words(client.get(reverse("limits_list")))


def sheet(**changes: Any) -> dict[str, Any]:
    """Return a sheet that enters the changed document."""
    whole = {"source": "Bulletin 4", "in_force_from": "2026-06-01", "text": json.dumps(changed_document())}
    return whole | changes


@pytest.mark.parametrize("as_file", [True, False])
def test_a_new_revision_is_entered_as_a_draft(
    as_file: bool, client: Client, engine_type: EngineType, inspector: Person
) -> None:
    file = SimpleUploadedFile("limits.json", json.dumps(changed_document()).encode())
    sent = sheet(text="", file=file) if as_file else sheet()
    response = signed_in(client, inspector).post(reverse("limits_enter", args=[engine_type.pk]), sent)
    revision = engine_type.revisions.get(number=2)
    assert response["Location"] == reverse("limits_detail", args=[revision.pk])
    assert (revision.source, revision.entered_by, revision.is_adopted) == ("Bulletin 4", inspector, False)
    assert "Draft, judges nothing" in words(client.get(response["Location"]))


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"source": ""}, "Name the document that the limits come from"),
        ({"in_force_from": ""}, "Give the day from which the limits are in force."),
        ({"text": ""}, "Give the document once: as a file, or pasted."),
        ({"text": "{"}, "This is not JSON that can be read"),
        ({"text": json.dumps(type_document(name="Other"))}, "must stay Testbird TB-1"),
        ({"text": json.dumps(type_document(charts=[{"name": "x"}]))}, "charts[0]"),
    ],
)
def test_a_document_that_cannot_be_used_is_refused_with_its_paths(
    changes: dict[str, str], says: str, client: Client, engine_type: EngineType, inspector: Person
) -> None:
    signed_in(client, inspector)
    response = client.post(reverse("limits_enter", args=[engine_type.pk]), sheet(**changes))
    assert (response.status_code, engine_type.revisions.count()) == (422, 1)
    assert says in words(response)


def test_a_document_that_is_too_large_is_refused(client: Client, engine_type: EngineType, inspector: Person) -> None:
    file = SimpleUploadedFile("limits.json", b" " * 2_000_001)
    signed_in(client, inspector)
    response = client.post(reverse("limits_enter", args=[engine_type.pk]), sheet(text="", file=file))
    assert response.status_code == 422
    assert "more than 2000000" in words(response)

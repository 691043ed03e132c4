"""What another program sent of a part is listed, holds the engine, and is read and signed, or dropped with a reason."""

import datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.actions import part_fit
from engines.errors import DomainError
from engines.models import Component, Engine
from engines.part_queries import fitted_at
from logbook.conditions import conditions_of
from logbook.handover.gathering import scope_of_engine, unsigned_refuse
from logbook.models import Entry, PartDraft, Person
from logbook.part_drafts.keeping import Sent, draft_keep
from tests.factories import STARTED_AT, ComponentFactory, EngineFactory, RunFactory
from tests.logbook.screen_kit import act, signed_in, words

DAY = datetime.timedelta(days=1)


@pytest.fixture
def draft(engine: Engine, mechanic: Person) -> PartDraft:
    """Return what another program sent in the mechanic's name: that a disc was removed."""
    part: Component = ComponentFactory.create(operator=engine.operator, part_number="D-1", serial="7")
    part_fit(component=part, engine=engine, position="disc", at=STARTED_AT, by=mechanic)
    return kept(part, mechanic)


def kept(part: Component, by: Person, kind: str = "remove", **facts: Any) -> PartDraft:
    """Keep an act as another program sends it."""
    told = {"at": STARTED_AT + 2 * DAY, "control": "", "is_temporary": False, "place": "shelf 3", "remarks": ""}
    return draft_keep(sent=Sent(PartDraft.Kind(kind), told | facts, part), by=by)[0]


def test_R_91_407_a_what_was_sent_and_is_not_signed_holds_its_engines(
    client: Client, engine: Engine, draft: PartDraft, mechanic: Person
) -> None:
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
    loose = ComponentFactory.create(operator=engine.operator, part_number="B-2", serial="1")
    kept(loose, mechanic, "fit", engine=other.pk, parent=None, position="")
    kept(draft.component, mechanic, "fit", at=STARTED_AT + 3 * DAY, engine=engine.pk, parent=None, position="disc")
    found = conditions_of([engine, other])
    assert found[engine.pk].reasons == ("D-1 7 removed: sent by another program and not signed, and 1 more",)
    assert found[other.pk].reasons == ("B-2 1 fitted: sent by another program and not signed",)
    page = words(signed_in(client, mechanic).get(reverse("engine_detail", args=[engine.pk])))
    assert "D-1 7 removed: sent by another program and not signed" in page
    with pytest.raises(DomainError, match="not signed. Sign it or drop it") as refused:
        unsigned_refuse(scope_of_engine(engine))
    assert refused.value.code == "unsigned_left"


def test_what_was_sent_is_listed_read_with_what_was_used_by_now_and_signed(
    client: Client, engine: Engine, draft: PartDraft, mechanic: Person
) -> None:
    RunFactory.create(engine=engine, started_at=STARTED_AT + DAY, starts=3)
    signed_in(client, mechanic)
    listed = words(client.get(reverse("unsigned_list")))
    assert "D-1 7 removed Engine TB-0001. Sent in the name of" in listed
    told = words(client.get(reverse("part_detail", args=[draft.component_id])))
    assert "Not signed, and not counted below: D-1 7 removed" in told
    page = words(client.get(reverse("part_draft", args=[draft.pk])))
    assert "nothing of it counts until it is" in page
    read = client.post(reverse("part_draft", args=[draft.pk]), {})
    assert "3 starts" in words(read)
    assert (Entry.objects.count(), fitted_at(draft.component) is None) == (0, False)
    assert act(client, "part_draft", [draft.pk]).status_code == 302
    entry = Entry.objects.get(component=draft.component)
    assert dict(entry.body["part"])["Where it is now"] == "shelf 3"
    assert fitted_at(draft.component) is None
    assert "Signed by" in words(client.get(reverse("part_draft", args=[draft.pk])))
    assert "is signed already" in words(act(client, "part_draft", [draft.pk]))
    assert "Nothing waits." in words(client.get(reverse("unsigned_list")))
    assert conditions_of([engine])[engine.pk].is_serviceable


def test_what_was_sent_is_dropped_with_a_reason_and_never_counted(
    client: Client, engine: Engine, draft: PartDraft, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    address = reverse("part_draft_drop", args=[draft.pk])
    assert "Say why it is dropped." in words(client.post(address, {"why": ""}))
    assert client.post(address, {"why": "It is another disc"}).status_code == 302
    page = words(client.get(reverse("part_draft", args=[draft.pk])))
    assert "Dropped unsigned by" in page
    assert "It is another disc. Nothing of it ever counted." in page
    assert conditions_of([engine])[engine.pk].is_serviceable
    assert (fitted_at(draft.component).engine, Entry.objects.count()) == (engine, 0)


def test_what_can_not_be_done_any_more_says_why_and_signs_nothing(
    client: Client, draft: PartDraft, mechanic: Person
) -> None:
    signed_in(client, mechanic)
    assert act(client, "part_remove", [draft.component_id], at="2026-05-05T10:00").status_code == 302
    page = client.post(reverse("part_draft", args=[draft.pk]), {})
    assert (page.status_code, Entry.objects.count()) == (422, 1)
    assert "is not fitted to an engine" in words(page)


def test_others_read_it_and_only_its_sender_or_the_director_signs(
    client: Client, draft: PartDraft, inspector: Person, auditor: Person, director: Person
) -> None:
    for person in (inspector, auditor):
        page = words(signed_in(client, person).get(reverse("part_draft", args=[draft.pk])))
        assert "sent this and signs it; where they can't, the director does." in page
        assert "Drop it unsigned" not in page
    assert client.post(reverse("part_draft", args=[draft.pk]), {}).status_code == 403
    assert act(signed_in(client, inspector), "part_draft", [draft.pk]).status_code == 422
    assert act(signed_in(client, director), "part_draft", [draft.pk]).status_code == 302


def test_more_than_a_page_of_it_says_that_there_is_more(client: Client, draft: PartDraft, mechanic: Person) -> None:
    same = {"operator": draft.operator, "component": draft.component, "sent_by": mechanic, "title": "D-1 7 removed"}
    PartDraft.objects.bulk_create(PartDraft(kind="remove", digest="0" * 64, **same) for _ in range(50))
    page = words(signed_in(client, mechanic).get(reverse("unsigned_list")))
    assert page.count("D-1 7 removed") == 50
    assert "There are more; the next are shown when these are signed or dropped." in page

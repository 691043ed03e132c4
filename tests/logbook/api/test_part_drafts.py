"""What another program says was done to a part counts nothing until a person has read and signed it."""

import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from rest_framework.test import APIClient

from engines.actions import LimitFacts, limit_add, part_fit
from engines.errors import DomainError
from engines.models import Component, Engine, PartDone, PartLimit, PartMovement
from engines.part_queries import component_times, fitted_at, limits_of
from logbook.models import Entry, PartDraft, Person
from logbook.part_acts import CONFIRMS
from logbook.part_drafts.keeping import draft_drop, draft_sign
from logbook.signing import PASSWORD, Signing
from tests.factories import STARTED_AT, ComponentFactory, EngineFactory
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, problem_of

DRAFTS, COMPONENTS = f"{API}part-drafts/", f"{API}components/"
AT = "2026-05-10T00:00:00Z"
SOURCE = {"source": "Invented chapter 5", "source_revision": "4"}
STEPS = ["disassembled", "cleaned", "inspected", "repaired", "reassembled", "tested"]


@pytest.fixture
def client(door: Door, director: Person) -> APIClient:
    """Return the director's client."""
    return door(director)


@pytest.fixture
def disc(engine: Engine, mechanic: Person) -> Component:
    """Return a disc that is fitted to the engine."""
    part: Component = ComponentFactory.create(operator=engine.operator, part_number="D-1", serial="7")
    part_fit(component=part, engine=engine, position="disc", at=STARTED_AT, by=mechanic)
    return part


@pytest.fixture
def interval(disc: Component, mechanic: Person) -> PartLimit:
    """Return the overhaul interval of the disc."""
    facts = LimitFacts(36_000, "s", "Invented chapter 5", "3")
    named = {"operator": disc.operator, "part_number": "D-1", "kind": "overhaul", "parameter": "run_time"}
    return limit_add(**named, facts=facts, by=mechanic)


def sign(answer: Any, by: Person) -> list[Entry]:
    """Sign the draft of an answer, as its screen does."""
    assert answer.status_code == 201, answer.content
    draft = PartDraft.objects.get(pk=answer.json()["id"])
    return draft_sign(draft=draft, by=by, signing=Signing(PASSWORD, CONFIRMS))


def send(client: APIClient, part: Component, path: str, **body: Any) -> Any:
    """Send an act on a part."""
    return client.post(f"{COMPONENTS}{part.pk}/{path}/", body, format="json")


def test_a_removal_waits_holds_the_engine_and_becomes_one_entry(
    client: APIClient, disc: Component, engine: Engine, director: Person
) -> None:
    answer = send(client, disc, "remove", at=AT, place="shelf 3")
    told = answer.json()
    assert (told["kind"], told["state"], told["engine"]) == ("remove", "open", engine.pk)
    assert {"name": "Removed from", "text": "engine TB-0001"} in told["told"]
    assert (fitted_at(disc) is None, Entry.objects.count()) == (False, 0)
    (entry,) = sign(answer, director)
    assert (entry.kind, entry.component, entry.engine, entry.signed_by) == ("part_removed", disc, engine, director)
    assert (fitted_at(disc), PartMovement.objects.count()) == (None, 2)
    shown = client.get(f"{DRAFTS}{told['id']}/").json()
    assert (shown["state"], shown["entries"], shown["closed_by"]) == ("signed", [entry.number], str(director))


def test_the_same_body_under_its_id_is_kept_once_and_another_is_refused(client: APIClient, disc: Component) -> None:
    key = str(uuid.uuid4())
    first = send(client, disc, "remove", id=key, at=AT)
    again = send(client, disc, "remove", id=key, at=AT)
    assert (first.status_code, again.status_code, again.json()) == (201, 200, first.json())
    other = problem_of(send(client, disc, "remove", id=key, at=AT, place="elsewhere"), 422)
    assert other["code"] == "id_used_with_other_body"
    assert PartDraft.objects.count() == 1


def test_drafts_rest_on_those_before_them_and_are_signed_in_their_order(
    client: APIClient, disc: Component, engine: Engine, director: Person
) -> None:
    removed = send(client, disc, "remove", at=AT)
    fitted = send(client, disc, "fit", at="2026-05-11T00:00:00Z", engine=engine.pk, position="disc")
    with pytest.raises(DomainError, match="is fitted to TB-0001") as refused:
        sign(fitted, director)
    assert refused.value.code == "already_fitted"
    sign(removed, director)
    sign(fitted, director)
    assert [entry.kind for entry in Entry.objects.order_by("number")] == ["part_removed", "part_fitted"]


def test_a_draft_on_which_another_rested_may_be_dropped_and_the_other_says_so(
    client: APIClient, disc: Component, engine: Engine, director: Person
) -> None:
    removed = send(client, disc, "remove", at=AT)
    sent = send(client, disc, "send", at="2026-05-11T00:00:00Z", to="Farholm Air")
    dropped = client.post(f"{DRAFTS}{removed.json()['id']}/drop/", {"why": "Another disc"}, format="json").json()
    assert (dropped["state"], dropped["dropped_why"], dropped["entries"]) == ("dropped", "Another disc", [])
    with pytest.raises(DomainError, match="still fitted"):
        sign(sent, director)
    again = client.post(f"{DRAFTS}{removed.json()['id']}/drop/", {"why": "Twice"}, format="json")
    assert problem_of(again, 422)["code"] == "work_closed"
    assert (PartMovement.objects.count(), Entry.objects.count()) == (1, 0)


def test_a_move_is_one_draft_of_two_engines_and_two_entries(
    client: APIClient, disc: Component, engine: Engine, director: Person
) -> None:
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
    answer = send(client, disc, "move", at=AT, engine=other.pk, position="disc")
    told = answer.json()
    assert (told["engine"], told["other_engine"]) == (engine.pk, other.pk)
    first, second = sign(answer, director)
    assert [(e.kind, e.engine) for e in (first, second)] == [("part_removed", engine), ("part_fitted", other)]
    assert dict(first.body["part"])["Where it is now"] == "moved to engine TB-0002"


def test_a_part_is_sent_away_and_a_wrong_line_is_struck(client: APIClient, disc: Component, director: Person) -> None:
    sign(send(client, disc, "remove", at=AT), director)
    sign(send(client, disc, "send", at="2026-05-11T00:00:00Z", to="Farholm Air"), director)
    lines = client.get(f"{COMPONENTS}{disc.pk}/").json()["movements"]
    assert [line["kind"] for line in lines] == ["fitted", "removed", "left"]
    older = lines[0]["id"]
    wrong = problem_of(send(client, disc, "strike", line=older, reason="Another disc"), 422)
    assert wrong["fields"] == {"line": f"Line {older} is not the newest line of {disc}; only that one is struck."}
    (entry,) = sign(send(client, disc, "strike", line=lines[2]["id"], reason="It stayed"), director)
    assert dict(entry.body["part"])["Why"] == "It stayed"
    assert client.get(f"{COMPONENTS}{disc.pk}/").json()["movements"][2]["struck"] == "It stayed"


def test_a_part_comes_back_with_more_than_it_went_with(client: APIClient, disc: Component, director: Person) -> None:
    more = {"run_time_s": 7200, "time_in_service_s": 3600, "starts": 2, "cycles": 2, "partial_cycles": 0}
    came = {"place": "Farholm Air", "at": "2026-05-12T00:00:00Z", "remarks": "Log card 7", "control": "2"}
    assert problem_of(send(client, disc, "return", **more, **came), 422)["code"] == "not_left"
    sign(send(client, disc, "remove", at=AT), director)
    sign(send(client, disc, "send", at="2026-05-11T00:00:00Z", to="Farholm Air"), director)
    answer = send(client, disc, "return", **more, **came)
    assert (answer.json()["kind"], answer.json()["state"]) == ("return", "open")
    # Nothing of it counts until it is signed.
    assert component_times(disc).run_time_s == 0
    (entry,) = sign(answer, director)
    assert (entry.component, entry.engine) == (disc, None)
    disc.refresh_from_db()
    assert (component_times(disc).run_time_s, component_times(disc).starts) == (7200, 2)
    assert "Log card 7" in str(entry.body["part"])


def test_a_limit_is_in_force_once_it_is_signed_and_is_only_replaced(
    client: APIClient, disc: Component, director: Person
) -> None:
    new = {"kind": "life", "parameter": "equivalent_cycles", "amount": 120, "unit": "count", "weight": "0.5", **SOURCE}
    answer = send(client, disc, "limits", **new)
    assert limits_of(disc) == []
    sign(answer, director)
    (limit,) = limits_of(disc)
    assert (limit.amount, str(limit.weight), limit.entered_by) == (120, "0.500000", director)
    raised = {"amount": 500, "unit": "count", **SOURCE}
    assert problem_of(send(client, disc, f"limits/{limit.pk}/replace", **raised), 422)["code"] == "revision_same"
    sign(send(client, disc, f"limits/{limit.pk}/replace", **raised | {"source_revision": "5"}), director)
    revisions = client.get(f"{COMPONENTS}{disc.pk}/limits/").json()["results"]
    assert [(row["amount"], row["is_in_force"]) for row in revisions] == [(500, True), (120, False)]
    gone = send(client, disc, f"limits/{limit.pk}/replace", **raised | {"source_revision": "6"})
    assert problem_of(gone, 422)["code"] == "replaced_before"
    assert problem_of(send(client, disc, "limits", **new), 422)["code"] == "limit_known"
    assert problem_of(send(client, disc, "limits", **new | {"kind": "x"}), 400)["code"] == "invalid"


def test_an_overhaul_needs_every_step_and_begins_the_interval_anew(
    client: APIClient, disc: Component, interval: PartLimit, director: Person
) -> None:
    done = {"at": AT, "reference": "Manual 72, revision 2", "tested_by": "Test cell run 7"}
    part_way = send(client, disc, f"limits/{interval.pk}/done", **done, steps=STEPS[:2])
    assert problem_of(part_way, 422)["code"] == "overhaul_incomplete"
    answer = send(client, disc, f"limits/{interval.pk}/done", **done, steps=STEPS)
    assert PartDone.objects.count() == 0
    (entry,) = sign(answer, director)
    assert (entry.kind, entry.body["title"]) == ("part_done", "D-1 7 overhauled")
    (told,) = client.get(f"{COMPONENTS}{disc.pk}/").json()["done"]
    assert (told["limit"], told["kind"], told["reference"]) == (interval.pk, "overhaul", "Manual 72, revision 2")


def test_only_who_sent_it_or_the_director_signs_or_drops_it(
    door: Door, disc: Component, mechanic: Person, inspector: Person, director: Person
) -> None:
    answer = send(door(mechanic), disc, "remove", at=AT)
    draft = PartDraft.objects.get()
    with pytest.raises(DomainError, match="sent this and signs it"):
        draft_sign(draft=draft, by=inspector, signing=Signing(PASSWORD, CONFIRMS))
    refused = door(inspector).post(f"{DRAFTS}{draft.pk}/drop/", {"why": "No"}, format="json")
    assert problem_of(refused, 422)["code"] == "not_yours"
    with pytest.raises(DomainError, match="Say why"):
        draft_drop(draft=draft, why=" ", by=director)
    (entry,) = sign(answer, director)
    assert entry.signed_by == director


def test_a_role_that_was_taken_away_signs_no_limit_any_more(door: Door, disc: Component, inspector: Person) -> None:
    new = {"kind": "life", "parameter": "starts", "amount": 9, "unit": "count", **SOURCE}
    answer = send(door(inspector), disc, "limits", **new)
    inspector.role = "mechanic"
    inspector.save(update_fields=["role"])
    with pytest.raises(DomainError, match="does not allow this") as refused:
        sign(answer, inspector)
    assert refused.value.code == "role_may_not"


def test_two_hosts_and_none_are_refused(client: APIClient, engine: Engine, disc: Component) -> None:
    loose = ComponentFactory.create(operator=engine.operator)
    both = problem_of(send(client, loose, "fit", at=AT, engine=engine.pk, parent=disc.pk), 400)
    assert both["fields"] == {"parent": "Name an engine or a parent, not both."}
    assert problem_of(send(client, loose, "fit", at=AT), 422)["code"] == "host_missing"
    assert send(client, loose, "fit", at=AT, parent=disc.pk).json()["engine"] == engine.pk


def test_drafts_are_listed_by_what_became_of_them_and_no_other_operators(
    client: APIClient, door: Door, disc: Component, stranger: Person
) -> None:
    told = send(client, disc, "remove", at=AT).json()
    listed = client.get(DRAFTS, {"state": "open", "component": disc.pk}).json()
    assert [row["id"] for row in listed["results"]] == [told["id"]]
    assert client.get(DRAFTS, {"state": "signed"}).json()["count"] == 0
    assert door(stranger).get(DRAFTS).json()["count"] == 0
    problem_of(door(stranger).get(f"{DRAFTS}{told['id']}/"), 404)
    problem_of(door(stranger).post(f"{COMPONENTS}{disc.pk}/limits/", {}, format="json"), 404)
    problem_of(door(stranger).get(f"{COMPONENTS}{disc.pk}/limits/"), 404)


HEAD = "part number,serial number,where the figures come from,engine,module part number,module serial number,fitted at"
MODULE, WITHIN = "M-1,4,card,TB-0001,,,2026-05-01", "D-9,1,card,,M-1,4,2026-05-01"


def listed(client: APIClient, path: str, *rows: str, **more: Any) -> Any:
    """Send a list of parts."""
    file = SimpleUploadedFile("parts.csv", "\n".join([HEAD, *rows, ""]).encode(), content_type="text/csv")
    return client.post(f"{COMPONENTS}{path}", {"file": file, **more}, format="multipart")


def test_a_list_is_shown_row_by_row_then_kept_whole(client: APIClient, engine: Engine, director: Person) -> None:
    fates = listed(client, "bulk/preview/", WITHIN, MODULE).json()
    assert fates["may_be_kept"]
    assert [(row["row"], row["fate"]) for row in fates["rows"]] == [(2, "entered"), (3, "entered")]
    assert "fitted to module M-1 4, place not recorded, since 2026-05-01" in fates["rows"][0]["words"]
    key = str(uuid.uuid4())
    answer = listed(client, "bulk/", WITHIN, MODULE, id=key)
    assert listed(client, "bulk/", WITHIN, MODULE, id=key).status_code == 200
    assert (answer.json()["kind"], Component.objects.count()) == ("list", 0)
    (entry,) = sign(answer, director)
    assert entry.body["title"] == "Opening balances of 2 parts"
    disc = Component.objects.get(part_number="D-9")
    assert fitted_at(disc).parent.part_number == "M-1"
    assert disc.stays.get().engine == engine


def test_a_list_with_a_wrong_row_is_refused_with_every_row_and_why(client: APIClient, engine: Engine) -> None:
    rows = (MODULE, "D-9,,card,,,,", "D-8,2,card,TB-0777,,,2026-05-01")
    fates = listed(client, "bulk/preview/", *rows).json()
    assert not fates["may_be_kept"]
    assert [(row["row"], row["column"], row["fate"]) for row in fates["rows"]] == [
        (2, "", "entered"),
        (3, "serial number", "refused"),
        (4, "engine", "refused"),
    ]
    refused = problem_of(listed(client, "bulk/", *rows), 422)
    assert refused["code"] == "rows_refused"
    assert refused["fields"] == {"the file, row 3, column “serial number”": "is missing."}
    other = problem_of(listed(client, "bulk/", rows[2]), 422)
    assert other["fields"] == {"the file, row 2, column “engine”": "There is no engine TB-0777."}
    none = SimpleUploadedFile("x.csv", b"\xff\x00", content_type="text/csv")
    unread = client.post(f"{COMPONENTS}bulk/", {"file": none}, format="multipart")
    assert problem_of(unread, 422)["code"] == "list_unreadable"
    assert (PartDraft.objects.count(), Component.objects.count()) == (0, 0)

from typing import Any

import pytest

from engines.models import Engine, EngineType, Run, TypeRevision
from logbook.models import Person
from tests.documents import type_document
from tests.keying import draft_keyed
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, problem_of

TYPES = f"{API}engine-types/"
DRAFT = {"source": "invented manual, revision 2", "in_force_from": "2026-05-01"}


def tighter(limit: float) -> dict[str, Any]:
    """Return the document with another limit for temperature while running."""
    document = type_document()
    chart = document["charts"][1]
    chart["limit"] = chart["areas"][0]["allowed"][0]["above"] = limit
    return document


def revisions_of(engine_type: EngineType) -> str:
    return f"{TYPES}{engine_type.pk}/revisions/"


def test_the_list_names_the_types(door: Door, auditor: Person, engine: Engine) -> None:
    engine_type = engine.engine_type
    answer = door(auditor).get(TYPES).json()
    assert answer["results"] == [{"id": engine_type.pk, "name": engine_type.name}]


def test_a_document_makes_a_type(door: Door, director: Person) -> None:
    response = door(director).post(f"{TYPES}?source=invented manual", type_document(), format="json")
    assert response.status_code == 201
    answer = response.json()
    assert answer["name"] == type_document()["name"]
    assert answer["in_force"]["document"] == type_document()
    assert [(r["number"], r["source"], r["is_adopted"]) for r in answer["revisions"]] == [(1, "invented manual", True)]
    assert door(director).get(f"{TYPES}{answer['id']}/").json() == answer


def test_the_source_may_be_left_out(door: Door, director: Person) -> None:
    answer = door(director).post(TYPES, type_document(), format="json").json()
    assert answer["in_force"]["source"] == ""


def test_a_source_too_long_to_keep_is_refused(door: Door, director: Person) -> None:
    response = door(director).post(f"{TYPES}?source={'x' * 241}", type_document(), format="json")
    assert list(problem_of(response, 400)["fields"]) == ["source"]
    assert not EngineType.objects.exists()


@pytest.mark.parametrize(
    ("body", "path"),
    [
        ({"name": "Testbird"}, "channels"),
        (type_document(colour="blue"), "colour"),
        (type_document(max_gap_s=-1), "max_gap_s"),
        (tighter(720.5), "charts[1].areas[0].allowed[1].above"),
    ],
)
def test_a_malformed_document_is_refused_whole(body: dict[str, Any], path: str, door: Door, director: Person) -> None:
    refusal = problem_of(door(director).post(TYPES, body, format="json"), 400)
    assert refusal["code"] == "document_invalid"
    assert path in refusal["fields"]
    assert not EngineType.objects.exists()


@pytest.mark.parametrize("body", ["[]", "null", '"Testbird"', "5"])
def test_what_is_no_document_is_refused(body: str, door: Door, director: Person) -> None:
    response = door(director).post(TYPES, body, content_type="application/json")
    assert problem_of(response, 400)["code"] == "document_invalid"


def test_a_name_in_use_is_refused(door: Door, director: Person) -> None:
    door(director).post(TYPES, type_document(), format="json")
    assert problem_of(door(director).post(TYPES, type_document(), format="json"), 409)["code"] == "name_taken"
    assert TypeRevision.objects.count() == 1


def test_a_revision_is_a_draft_until_a_second_person_adopts_it(
    door: Door, director: Person, inspector: Person, engine: Engine
) -> None:
    address = revisions_of(engine.engine_type)
    changed = tighter(690) | {"name": engine.engine_type.name}
    response = door(director).post(address, DRAFT | {"document": changed}, format="json")
    assert response.status_code == 201
    assert (response.json()["number"], response.json()["is_adopted"]) == (2, False)
    assert problem_of(door(director).post(f"{address}2/adopt/"), 422)["code"] == "second_person_needed"
    assert problem_of(door(inspector).post(f"{address}2/adopt/"), 409)["code"] == "keying_needed"
    documents = [[r["document"] is None for r in door(who).get(address).json()] for who in (inspector, director)]
    assert documents == [[False, True], [False, False]]
    draft_keyed(engine.engine_type.revisions.get(number=2), inspector)
    assert door(inspector).get(address).json()[1]["document"] == changed
    adopted = door(inspector).post(f"{address}2/adopt/")
    assert (adopted.status_code, adopted.json()["is_adopted"]) == (200, True)
    assert adopted.json()["checked_by"] == str(inspector)
    assert problem_of(door(inspector).post(f"{address}2/adopt/"), 409)["code"] == "already_adopted"
    shown = door(inspector).get(f"{TYPES}{engine.engine_type_id}/").json()
    assert shown["in_force"]["number"] == 2
    assert [r["number"] for r in door(inspector).get(address).json()] == [1, 2]


@pytest.mark.parametrize(
    ("changes", "fields"),
    [
        ({"document": {"name": "x"}}, {"channels", "charts"}),
        ({"in_force_from": "soon"}, {"in_force_from"}),
        ({"source": ""}, {"source"}),
        ({"sauce": "x"}, {"sauce"}),
    ],
)
def test_a_malformed_revision_is_refused(
    changes: dict[str, Any], fields: set[str], door: Door, director: Person, engine: Engine
) -> None:
    body = DRAFT | {"document": type_document(name=engine.engine_type.name)} | changes
    refusal = problem_of(door(director).post(revisions_of(engine.engine_type), body, format="json"), 400)
    assert fields <= set(refusal["fields"])
    assert engine.engine_type.revisions.count() == 1


def test_a_type_whose_only_revision_is_a_draft_has_none_in_force(door: Door, director: Person, engine: Engine) -> None:
    engine.engine_type.revisions.update(is_adopted=False)
    assert door(director).get(f"{TYPES}{engine.engine_type_id}/").json()["in_force"] is None


def test_replay_shows_what_a_draft_would_change(door: Door, director: Person, hot_run: Run) -> None:
    engine_type = hot_run.engine.engine_type
    laxer = type_document(name=engine_type.name)
    laxer["charts"][1]["areas"].pop()
    address = revisions_of(engine_type)
    assert door(director).post(address, DRAFT | {"document": laxer}, format="json").status_code == 201
    answer = door(director).get(f"{address}2/replay/").json()
    assert answer == {
        "revision": 2,
        "against": 1,
        "runs_total": 1,
        "runs_read": 1,
        "changes": [{"run": str(hot_run.pk), "chart": "ITT, running", "before": ["B"], "after": ["A"]}],
    }


@pytest.mark.parametrize(("method", "what"), [("get", "replay"), ("post", "adopt")])
def test_a_revision_that_is_none_is_not_found(
    method: str, what: str, door: Door, director: Person, engine: Engine
) -> None:
    address = f"{revisions_of(engine.engine_type)}9/{what}/"
    assert problem_of(getattr(door(director), method)(address), 404)["code"] == "not_found"

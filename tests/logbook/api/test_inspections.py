from typing import Any

import pytest
from rest_framework.test import APIClient

from engines.errors import DomainError
from inspections.actions import inspection_assign
from inspections.models import Inspection
from logbook.actions import inspection_sign
from logbook.models import Person
from tests.built import Things, built_once, own
from tests.cast import engine_stored, mechanic_stored, operator_stored
from tests.factories import InspectionFactory
from tests.logbook.api.conftest import Door, hot_run_sent
from tests.logbook.api.kit import API, problem_of
from tests.signed import signing_of

INSPECTIONS = f"{API}inspections/"
ACTION = {
    "description": "Nozzle 3 replaced",
    "data_reference": "invented manual 73-10, revision 2, section 4",
    "completed_on": "2026-05-05",
}


def inspection_stored() -> Things:
    """Store a run that called for an inspection. Its file lies where no test looks: none of these reads it."""
    operator = operator_stored()
    engine, mechanic = engine_stored(operator), mechanic_stored(operator)
    run = hot_run_sent(mechanic, engine)
    return {"operator": operator, "engine": engine, "mechanic": mechanic, "hot_run": run}


built = built_once(inspection_stored)
operator, engine, mechanic, hot_run = map(own, ("operator", "engine", "mechanic", "hot_run"))


@pytest.fixture
def client(door: Door, mechanic: Person) -> APIClient:
    """Return the mechanic's client."""
    return door(mechanic)


@pytest.fixture
def address(hot_inspection: Inspection) -> str:
    """Return where the open inspection is."""
    return f"{INSPECTIONS}{hot_inspection.pk}/"


def test_an_inspection_shows_what_it_wants(client: APIClient, address: str, hot_inspection: Inspection) -> None:
    answer = client.get(address).json()
    assert (answer["number"], answer["rule"], answer["state"]) == (hot_inspection.number, "area B", "open")
    assert (answer["summary"], answer["reference"]) == ("Hot section inspection", "invented manual 72-00, revision 3")
    assert (answer["before_next_flight"], answer["required_inspection_item"]) == (True, True)
    assert [(s["position"], s["answer"]) for s in answer["steps"]] == [(1, ""), (2, "")]
    assert (answer["findings"], answer["actions"], answer["releases"]) == ([], [], [])


def test_the_work_is_recorded(client: APIClient, address: str, door: Door, inspector: Person, mechanic: Person) -> None:
    assert client.post(f"{address}begin/").json()["state"] == "in_work"
    assert client.post(f"{address}steps/1/answer/", {"answer": "done"}, format="json").status_code == 200
    left = {"answer": "not_applicable", "reason": "no gauge fitted"}
    steps = client.post(f"{address}steps/2/answer/", left, format="json").json()["steps"]
    assert [(s["answer"], s["reason"], s["answered_by"]) for s in steps] == [
        ("done", "", str(mechanic)),
        ("not_applicable", "no gauge fitted", str(mechanic)),
    ]
    found = client.post(f"{address}findings/", {"text": "Nozzle 3 streaks"}, format="json")
    assert found.status_code == 201
    finding = found.json()["findings"][0]
    done = client.post(f"{address}actions/", ACTION | {"finding": finding["id"]}, format="json")
    assert (done.status_code, done.json()["actions"][0]["finding"]) == (201, finding["id"])
    cause = {"cause": "corrected", "text": "nozzle 3"}
    assert client.post(f"{address}cause/", cause, format="json").json()["cause"] == "corrected"
    assert door(inspector).post(f"{address}second/").json()["second_by"] == str(inspector)


def test_an_action_may_stand_without_a_finding(client: APIClient, address: str) -> None:
    answer = client.post(f"{address}actions/", ACTION, format="json").json()
    assert answer["actions"][0]["finding"] is None


def test_whoever_worked_gives_no_second_look(door: Door, inspector: Person, address: str) -> None:
    door(inspector).post(f"{address}steps/1/answer/", {"answer": "done"}, format="json")
    assert problem_of(door(inspector).post(f"{address}second/"), 422)["code"] == "second_person_needed"


@pytest.mark.parametrize(
    ("path", "body", "status", "named"),
    [
        ("steps/1/answer/", {"answer": "perhaps"}, 400, "answer"),
        ("steps/1/answer/", {"answer": "done", "by": "Ann"}, 400, "by"),
        ("steps/1/answer/", {"answer": "not_done"}, 422, None),
        ("steps/9/answer/", {"answer": "done"}, 404, None),
        ("findings/", {"text": " "}, 400, "text"),
        ("findings/", {}, 400, "text"),
        ("actions/", ACTION | {"data_reference": ""}, 400, "data_reference"),
        ("actions/", ACTION | {"finding": 99999}, 400, "finding"),
        ("actions/", ACTION | {"completed_on": "2099-01-01"}, 422, "completed_on"),
        ("cause/", {"cause": "guessed"}, 400, "cause"),
        ("cause/", {"cause": "found"}, 422, None),
        ("begin/", {}, 200, None),
    ],
)
def test_what_is_wrong_is_refused(
    *, path: str, body: dict[str, Any], status: int, named: str | None, client: APIClient, address: str
) -> None:
    response = client.post(address + path, body, format="json")
    if status != 200:
        assert list(problem_of(response, status).get("fields", {})) == ([named] if named else [])
    assert response.status_code == status


def test_a_finding_of_another_inspection_is_unknown(client: APIClient, address: str, mechanic: Person) -> None:
    other = InspectionFactory.create(run__engine__operator=mechanic.operator)
    theirs = client.post(f"{INSPECTIONS}{other.pk}/findings/", {"text": "x"}, format="json").json()["findings"][0]
    refusal = problem_of(client.post(f"{address}actions/", ACTION | {"finding": theirs["id"]}, format="json"), 400)
    assert list(refusal["fields"]) == ["finding"]


def test_what_is_approved_takes_no_more(
    *, client: APIClient, address: str, door: Door, inspector: Person, mechanic: Person, hot_inspection: Inspection
) -> None:
    for position in (1, 2):
        client.post(f"{address}steps/{position}/answer/", {"answer": "done"}, format="json")
    door(inspector).post(f"{address}second/")
    hot_inspection.refresh_from_db()
    inspection_sign(
        inspection=hot_inspection,
        by=mechanic,
        signing=signing_of(mechanic),
        outcome="approved",
        extent="Blades looked at, gauge checked.",
        completed_on=hot_inspection.opened_at.date(),
    )
    assert problem_of(client.post(f"{address}findings/", {"text": "late"}, format="json"), 409)["code"] == "closed"
    releases = client.get(address).json()["releases"]
    assert [(r["outcome"], r["signed_name"]) for r in releases] == [("approved", str(mechanic))]


def test_signing_is_not_done_here(client: APIClient, address: str) -> None:
    assert problem_of(client.post(f"{address}sign/"), 404)["code"] == "not_found"
    assert problem_of(client.patch(address, {"state": "approved"}, format="json"), 405)["code"] == "method_not_allowed"


@pytest.mark.parametrize(
    ("query", "summaries"),
    [
        ("", {"Hot section inspection", "Soon", "Past"}),
        ("open=true", {"Hot section inspection", "Soon"}),
        ("open=false", {"Past"}),
        ("state=in_work", {"Soon"}),
        ("before_next_flight=false", {"Soon"}),
        ("engine={engine}", {"Hot section inspection"}),
    ],
)
def test_the_list_is_narrowed(query: str, summaries: set[str], client: APIClient, hot_inspection: Inspection) -> None:
    of_ours: dict[str, Any] = {"run__engine__operator": hot_inspection.operator}
    InspectionFactory.create(**of_ours, summary="Soon", state="in_work", before_next_flight=False)
    InspectionFactory.create(**of_ours, summary="Past", state="approved")
    answer = client.get(f"{INSPECTIONS}?{query.format(engine=hot_inspection.engine_id)}").json()
    assert {row["summary"] for row in answer["results"]} == summaries


def test_a_state_that_is_none_is_refused(client: APIClient) -> None:
    assert list(problem_of(client.get(f"{INSPECTIONS}?state=lost"), 400)["fields"]) == ["state"]


def test_a_note_is_written_and_its_state_is_left(client: APIClient, address: str, mechanic: Person) -> None:
    answer = client.post(f"{address}notes/", {"text": " Borescope is out. "}, format="json")
    assert (answer.status_code, answer.json()["state"]) == (201, "open")
    (note,) = client.get(address).json()["notes"]
    assert (note["text"], note["written_by"]) == ("Borescope is out.", str(mechanic))
    assert list(problem_of(client.post(f"{address}notes/", {"text": ""}, format="json"), 400)["fields"]) == ["text"]


@pytest.mark.parametrize(("query", "found"), [("age=0-2", 1), ("age=over-30", 0), ("assigned_to=nobody", 1)])
def test_the_list_is_narrowed_by_age_and_person(query: str, found: int, client: APIClient, address: str) -> None:
    assert client.get(f"{INSPECTIONS}?{query}").json()["count"] == found


def test_an_auditor_has_no_inspection_by_any_door(
    client: APIClient, address: str, hot_inspection: Inspection, auditor: Person, director: Person
) -> None:
    refused = problem_of(client.get(f"{INSPECTIONS}?assigned_to={auditor.pk}"), 400)
    assert list(refused["fields"]) == ["assigned_to"]
    assert client.get(f"{INSPECTIONS}?assigned_to={director.pk}").json()["count"] == 0
    with pytest.raises(DomainError, match="works on no inspection") as given:
        inspection_assign(inspection=hot_inspection, to=auditor, by=director)
    assert given.value.code == "role_may_not"

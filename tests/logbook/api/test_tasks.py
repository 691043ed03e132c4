"""Tasks of engines through the door: how they stand, what was done, what comes due; as on the screen."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from engines.actions import Accomplishment, part_fit
from engines.models import Engine, TaskRecord
from engines.standing import standings_of
from logbook.models import Person
from logbook.task_acts import task_sign
from tests.documents import type_document
from tests.factories import ComponentFactory, RunFactory, TypeRevisionFactory
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, problem_of
from tests.signed import signing_of

TODAY = timezone.localdate()
LOOK = {"name": "Look", "kind": "inspection", "mandatory": True, "repeat": {"run_time_h": 100}}
DIRECTIVE = {
    "name": "Disc",
    "kind": "directive",
    "mandatory": True,
    "number": "INV-7",
    "repeat": {"days": 40},
    "counts_from": "begun",
}


@pytest.fixture
def engine(engine: Engine) -> Engine:
    """Return an engine whose type has a task, and which ran."""
    TypeRevisionFactory.create(engine_type=engine.engine_type, document=type_document() | {"tasks": [LOOK]})
    RunFactory.create(engine=engine, started_at=timezone.now() - timedelta(days=2), run_time_s=90 * 3600)
    return engine


@pytest.fixture
def client(door: Door, director: Person) -> APIClient:
    """Return the director's client."""
    return door(director)


def tasks(client: APIClient, engine: Engine) -> list[dict[str, Any]]:
    answer: list[dict[str, Any]] = client.get(f"{API}engines/{engine.pk}/tasks/").json()
    return answer


def added(client: APIClient, engine: Engine, **changes: Any) -> Any:
    body = {"document": DIRECTIVE, "begins_on": str(TODAY), **changes}
    return client.post(f"{API}engines/{engine.pk}/tasks/", body, format="json")


def test_tasks_say_how_they_stand(client: APIClient, engine: Engine) -> None:
    (task,) = tasks(client, engine)
    assert (task["name"], task["kind"], task["state"], task["last"]) == ("Look", "inspection", "running", None)
    assert task["left"] == [{"counter": "run_time", "due_at": "360000", "left": 36000}]


def test_a_directive_is_added_and_what_was_signed_of_it_is_read(
    client: APIClient, engine: Engine, director: Person
) -> None:
    response = added(client, engine)
    assert (response.status_code, response.json()["number"]) == (201, "INV-7")
    assert response.json()["left"] == [{"counter": "days", "due_at": str(TODAY + timedelta(days=40)), "left": 40}]
    address = f"{API}engines/{engine.pk}/tasks/{response.json()['key']}/records/"
    standing = next(s for s in standings_of([engine])[engine.pk] if s.task.name == "Disc")
    said = Accomplishment("done", TODAY, "Eddy current", used={"run_time": 330000})
    entry = task_sign(standing=standing, said=said, by=director, signing=signing_of(director))
    lines = client.get(address).json()
    assert [(row["outcome"], row["entry"]) for row in lines] == [("done", entry.number), ("begun", None)]
    assert lines[0]["used"]["run_time"] == 330000
    assert tasks(client, engine)[1]["last"]["method"] == "Eddy current"


@pytest.mark.parametrize(
    ("changes", "status", "code", "field"),
    [
        ({"document": {"name": "Half"}}, 400, "document_invalid", "kind"),
        ({"document": LOOK}, 409, "name_taken", "name"),
        ({"begins_on": str(TODAY + timedelta(days=1))}, 422, "date_impossible", "begins_on"),
        ({"colour": "red"}, 400, "invalid", "colour"),
    ],
)
def test_what_cannot_be_added_is_a_problem(
    client: APIClient, engine: Engine, *, changes: dict[str, Any], status: int, code: str, field: str
) -> None:
    problem = problem_of(added(client, engine, **changes), status)
    assert problem["code"] == code
    assert field in problem["fields"]


def test_nothing_is_recorded_of_a_task_but_where_it_is_read_and_signed(client: APIClient, engine: Engine) -> None:
    address = f"{API}engines/{engine.pk}/tasks/{tasks(client, engine)[0]['key']}/records/"
    response = client.post(address, {"outcome": "done", "on": str(TODAY), "method": "x"}, format="json")
    assert response.status_code in (403, 405)
    assert not TaskRecord.objects.exists()
    assert client.get(f"{API}engines/{engine.pk}/tasks/none/records/").status_code == 404


def test_what_comes_due_is_listed_page_by_page(client: APIClient, engine: Engine) -> None:
    added(client, engine)
    answer = client.get(f"{API}due/").json()
    assert (answer["count"], answer["results"][0]["what"]) == (1, "Disc (INV-7)")
    line = answer["results"][0]
    assert line["earliest_on"] == line["latest_on"] == str(TODAY + timedelta(days=40))
    assert (line["engine_serial"], line["component"], line["assumption"]) == ("TB-0001", None, "By the calendar alone")
    assert client.get(f"{API}due/", {"days": 30}).json()["count"] == 0
    assert client.get(f"{API}due/", {"days": "soon"}).status_code == 400


def test_another_operator_sees_nothing_of_it(door: Door, stranger: Person, engine: Engine) -> None:
    assert door(stranger).get(f"{API}engines/{engine.pk}/tasks/").status_code == 404
    assert door(stranger).get(f"{API}due/").json()["count"] == 0


def test_a_task_is_added_to_a_part(client: APIClient, engine: Engine, director: Person) -> None:
    part = ComponentFactory.create(operator=engine.operator)
    part_fit(component=part, engine=engine, position="", at=timezone.now() - timedelta(days=1), by=director)
    response = added(client, engine, component=part.pk)
    assert (response.status_code, response.json()["component"]) == (201, part.pk)
    assert client.get(f"{API}due/").json()["results"][0]["component"] == part.pk
    assert tasks(client, engine)[0]["component"] is None

import pytest
from rest_framework.test import APIClient

from engines.models import Engine
from logbook.maintenance.actions import work_open
from logbook.maintenance.rules import rules_choose
from logbook.models import Person
from logbook.statements.coverage import POWERPLANT
from tests.factories import EngineFactory
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, problem_of
from tests.logbook.maintenance.kit import LEAK, SAID, certified, opened, refused, signed

WORK = f"{API}work/"


@pytest.fixture
def client(door: Door, mechanic: Person, director: Person) -> APIClient:
    """Return the mechanic's client, of an operator under the rules of the United States."""
    rules_choose(by=director, ruleset="us")
    certified(mechanic, POWERPLANT)
    return door(mechanic)


def test_a_draft_is_begun_read_and_written_anew(client: APIClient, engine: Engine) -> None:
    begun = client.post(WORK, {"engine": engine.pk, "kind": "work", "facts": {"description": "Nozzle"}}, format="json")
    assert begun.status_code == 201
    address = f"{WORK}{begun.json()['id']}/"
    assert "Give the day on which it was completed." in begun.json()["missing"]
    facts = SAID | {"completed_on": "2026-05-04", "limits_changed": False}
    changed = client.put(address, {"facts": facts}, format="json").json()
    assert (changed["missing"], changed["facts"]["completed_on"]) == ([], "2026-05-04")
    assert client.get(address).json() == changed
    (line,) = client.get(WORK).json()["results"]
    assert (line["number"], line["state"], line["entry"]) == (1, "open", None)


def test_what_is_no_field_or_no_day_is_refused_by_name(client: APIClient, engine: Engine) -> None:
    facts = {"descripton": "Nozzle", "completed_on": "soon"}
    answer = client.post(WORK, {"engine": engine.pk, "kind": "work", "facts": facts}, format="json")
    problem = problem_of(answer, 422)
    assert problem["code"] == "facts_unreadable"
    assert set(problem["fields"]) == {"descripton", "completed_on"}


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"found": "a leak"}, "found"),
        ({"found": [LEAK | {"placard_on": "soon"}]}, "found[0].placard_on"),
        ({"again": {"1": {"answer": "ignored"}}}, "again.1.answer"),
    ],
)
def test_lists_of_an_inspection_are_checked_line_by_line(
    client: APIClient, engine: Engine, facts: dict[str, object], field: str
) -> None:
    body = {"engine": engine.pk, "kind": "inspection", "facts": facts}
    assert list(problem_of(client.post(WORK, body, format="json"), 422)["fields"]) == [field]


def test_discrepancies_are_read_with_what_became_of_them(client: APIClient, engine: Engine, mechanic: Person) -> None:
    facts = refused()
    body = {"engine": engine.pk, "kind": "inspection", "facts": facts | {"found": [LEAK]}}
    kept = client.post(WORK, body, format="json").json()["facts"]
    assert kept["found"][0]["text"] == LEAK["text"]
    signed(opened(engine, mechanic, "inspection", **facts), mechanic)
    (row,) = client.get(f"{API}discrepancies/").json()["results"]
    assert (row["state"], row["entry"], [line["state"] for line in row["lines"]]) == ("open", 1, ["open"])


def test_signed_work_stays_and_another_operators_is_not_there(
    client: APIClient, engine: Engine, mechanic: Person, stranger: Person
) -> None:
    work = opened(engine, mechanic)
    signed(work, mechanic)
    answer = client.put(f"{WORK}{work.pk}/", {"facts": {}}, format="json")
    assert problem_of(answer, 422)["code"] == "work_closed"
    other = EngineFactory.create(operator=stranger.operator)
    theirs = work_open(engine=other, kind="work", facts={}, by=stranger)
    assert client.get(f"{WORK}{theirs.pk}/").status_code == 404
    body = {"engine": other.pk, "kind": "work", "facts": {}}
    assert client.post(WORK, body, format="json").status_code == 400

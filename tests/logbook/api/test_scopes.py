"""What a token may do of what its person may do."""

import pytest
from rest_framework.test import APIClient

from engines.models import Engine, Run
from logbook.models import Person
from logbook.tokens import token_issue
from tests.logbook.api.kit import API, RUNS, problem_of, run_body

SCOPES = ("read", "record", "all")


def client_of(person: Person, scope: str) -> APIClient:
    """Return a client that acts for a person by a token of a scope."""
    client = APIClient()
    token = token_issue(person=person, label=f"of scope {scope}", scope=scope)[1]
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {token}")
    return client


@pytest.mark.parametrize("scope", SCOPES)
def test_every_scope_reads(scope: str, engine: Engine, mechanic: Person) -> None:
    assert client_of(mechanic, scope).get(f"{API}engines/{engine.pk}/").status_code == 200


@pytest.mark.parametrize(("scope", "status"), [("read", 403), ("record", 201), ("all", 201)])
def test_recording_takes_a_scope_that_records(scope: str, status: int, engine: Engine, mechanic: Person) -> None:
    response = client_of(mechanic, scope).post(RUNS, run_body(engine), format="json")
    assert response.status_code == status
    assert Run.objects.count() == (status == 201)


def test_a_refusal_says_what_the_token_is_for(engine: Engine, mechanic: Person) -> None:
    response = client_of(mechanic, "read").post(RUNS, run_body(engine), format="json")
    problem = problem_of(response, 403)
    assert problem["code"] == "scope_may_not"
    assert problem["detail"] == "This token is not for that: it may read and print (run.record)."


@pytest.mark.parametrize(("scope", "status"), [("read", 403), ("record", 403), ("all", 400)])
def test_other_work_takes_the_whole_scope(scope: str, status: int, engine: Engine, director: Person) -> None:
    assert client_of(director, scope).post(f"{API}engines/", {}, format="json").status_code == status


def test_no_scope_lifts_a_role(auditor: Person) -> None:
    problem = problem_of(client_of(auditor, "all").post(RUNS, {}, format="json"), 403)
    assert problem["code"] == "role_may_not"


def test_use_is_noted(engine: Engine, mechanic: Person) -> None:
    client = client_of(mechanic, "read")
    token = mechanic.api_tokens.get()
    assert token.last_used_at is None
    client.get(f"{API}engines/")
    token.refresh_from_db()
    assert token.last_used_at is not None

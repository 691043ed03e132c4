import pytest
from django.test import Client
from rest_framework.test import APIClient

from logbook.models import Person
from logbook.tokens import token_issue, token_revoke
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, problem_of

ENGINES = f"{API}engines/"


def test_a_token_opens_the_door(door: Door, mechanic: Person) -> None:
    assert door(mechanic).get(ENGINES).status_code == 200


@pytest.mark.django_db
@pytest.mark.parametrize("header", [None, "", "Basic bWVjaGFuaWM6eA==", "Token abc"])
def test_nobody_is_asked_for_a_token(header: str | None) -> None:
    client = APIClient()
    if header is not None:
        client.credentials(HTTP_AUTHORIZATION=header)
    response = client.get(ENGINES)
    assert problem_of(response, 401)["code"] == "not_authenticated"
    assert response["WWW-Authenticate"] == "Bearer"


@pytest.mark.django_db
@pytest.mark.parametrize("header", ["Bearer", "Bearer ", "Bearer of-nobody", "bearer of nobody"])
def test_an_unknown_token_is_refused(header: str) -> None:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=header)
    response = client.get(ENGINES)
    assert problem_of(response, 401)["code"] == "token_unknown"
    assert response["WWW-Authenticate"] == "Bearer"


def test_the_scheme_may_be_written_in_small_letters(mechanic: Person) -> None:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"bearer {token_issue(person=mechanic, label='tests')[1]}")
    assert client.get(ENGINES).status_code == 200


def test_a_revoked_token_is_refused(mechanic: Person) -> None:
    row, token = token_issue(person=mechanic, label="tests")
    token_revoke(token=row)
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {token}")
    assert problem_of(client.get(ENGINES), 401)["code"] == "token_unknown"


def test_a_closed_account_is_refused(door: Door, mechanic: Person) -> None:
    client = door(mechanic)
    mechanic.is_active = False
    mechanic.save(update_fields=["is_active"])
    assert problem_of(client.get(ENGINES), 401)["code"] == "token_unknown"


def test_a_person_signed_in_on_the_site_may_read(client: Client, mechanic: Person) -> None:
    client.force_login(mechanic)
    assert client.get(ENGINES).status_code == 200


def test_writing_from_the_site_needs_its_form_token(mechanic: Person) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(mechanic)
    assert (
        problem_of(client.post(f"{API}runs/", {}, content_type="application/json"), 403)["code"] == "permission_denied"
    )

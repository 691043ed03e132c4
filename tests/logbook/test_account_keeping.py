"""Accounts as the director keeps them: opened, given another role, given a one-time password; and what stays of it."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from logbook.access import DIRECTOR, INSPECTOR, MECHANIC
from logbook.account_keeping import LETTERS, Newcomer, one_time_password, person_add, role_change
from logbook.models import AccountChange, Person
from logbook.tokens import token_issue
from tests.factories import PersonFactory
from tests.logbook.screen_kit import PASSWORD, signed_in, words

OWN = "four words of my own " * 4  # 84 characters, as long as a phrase gets


@pytest.fixture
def keeper(client: Client, director: Person) -> Client:
    """Return the client with the director signed in."""
    return signed_in(client, director)


def sheet(**changes: str) -> dict[str, str]:
    """Return a sheet of a new person."""
    return {"first_name": "Test", "last_name": "Newcomer", "username": "newcomer", "role": MECHANIC} | changes


def shown_password(response: Any) -> str:
    """Return the password that a page shows."""
    password: str = response.context["password"]
    assert response.content.decode().count(password) == 1
    return password


def came_in(username: str, password: str) -> Client:
    """Return a client that has given a name and a password on the sign-in screen."""
    client = Client()
    client.post(reverse("sign_in"), {"login": username, "password": password})
    return client


def test_a_one_time_password_is_long_and_never_the_same() -> None:
    made = {one_time_password() for _ in range(50)}
    assert len(made) == 50
    assert all(len(password) == 19 and set(password) <= set(LETTERS + "-") for password in made)


def test_a_person_is_added_and_the_password_is_shown_once(keeper: Client, director: Person) -> None:
    added = keeper.post(reverse("person_add"), sheet())
    assert (added.status_code, added["Cache-Control"].count("no-store")) == (201, 1)
    person = Person.objects.get(username="newcomer")
    password = shown_password(added)
    assert (person.operator, person.role, person.check_password(password)) == (director.operator, MECHANIC, True)
    assert password not in keeper.get(reverse("person_detail", args=[person.pk])).content.decode()
    row = person.account_changes.get()
    assert (str(row), row.by) == ("Account opened as Mechanic", director)


def test_a_newcomer_sets_an_own_password_before_anything_else(keeper: Client) -> None:
    password = shown_password(keeper.post(reverse("person_add"), sheet()))
    visitor, change = came_in("newcomer", password), reverse("account_change_password")
    for name in ("engine_list", "token_list", "person_list"):
        assert visitor.get(reverse(name))["Location"] == change
    assert visitor.get(reverse("api:engine-list")).json()["code"] == "own_password_needed"
    assert "You signed in with a one-time password." in words(visitor.get(change))
    said = {"oldpassword": password, "password1": password, "password2": password}
    assert "choose another" in words(visitor.post(change, said))
    short = visitor.post(change, said | {"password1": "seven77", "password2": "seven77"})
    assert "8 characters" in words(short)
    assert Person.objects.get(username="newcomer").must_change_password
    assert visitor.post(change, said | {"password1": OWN, "password2": OWN}).status_code == 302
    assert visitor.get(reverse("engine_list")).status_code == 200
    assert came_in("newcomer", OWN).get(reverse("engine_list")).status_code == 200
    assert not Person.objects.get(username="newcomer").must_change_password


def test_a_one_time_password_is_good_for_a_week_and_the_screens_say_so(keeper: Client) -> None:
    added = keeper.post(reverse("person_add"), sheet())
    password, person = shown_password(added), Person.objects.get(username="newcomer")
    until = timezone.localtime(person.one_time_until)
    assert timedelta(days=6.99) < until - timezone.now() < timedelta(days=7)
    assert f"It is good until {until:%Y-%m-%d %H:%M}" in words(added)
    address = reverse("person_detail", args=[person.pk])
    assert f"the one-time password is good until {until:%Y-%m-%d %H:%M}" in words(keeper.get(address))
    begun = came_in("newcomer", password)
    Person.objects.filter(pk=person.pk).update(one_time_until=timezone.now())
    late = Client()
    page = late.post(reverse("sign_in"), {"login": "newcomer", "password": password}, follow=True)
    assert "That one-time password was good for a week only." in words(page)
    assert late.get(reverse("engine_list")).status_code == 302
    change = {"oldpassword": password, "password1": OWN, "password2": OWN}
    assert "good for a week only" in words(begun.post(reverse("account_change_password"), change))
    assert "is not good any more: give a new one" in words(keeper.get(address))
    given = shown_password(keeper.post(reverse("person_password", args=[person.pk])))
    visitor = came_in("newcomer", given)
    own = visitor.post(reverse("account_change_password"), change | {"oldpassword": given})
    assert own.status_code == 302
    person.refresh_from_db()
    assert (person.one_time_until, person.has_expired) == (None, False)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"first_name": " "}, "Give the first name."),
        ({"username": ""}, "Give a name to sign in with."),
        ({"username": "MECHANIC"}, "“MECHANIC” is in use"),
        ({"username": "no body"}, "letters, digits and @ . + - _ only"),
        ({"role": ""}, "Choose a role."),
        ({"role": "king"}, "king is not one of the available choices"),
    ],
)
def test_a_person_that_cannot_be_added_is_refused_with_the_reason(
    changes: dict[str, str], says: str, keeper: Client, mechanic: Person
) -> None:
    refused = keeper.post(reverse("person_add"), sheet(**changes))
    assert refused.status_code == 422
    assert says in words(refused)
    assert not AccountChange.objects.exists()


@pytest.mark.parametrize(
    ("who", "code"),
    [
        (Newcomer("", "B", "b", MECHANIC), "text_missing"),
        (Newcomer("A", " ", "b", MECHANIC), "text_missing"),
        (Newcomer("A", "B", "b", "king"), "role_unknown"),
    ],
)
def test_what_the_sheet_would_not_send_is_refused_as_well(who: Newcomer, code: str, director: Person) -> None:
    with pytest.raises(DomainError) as refused:
        person_add(who=who, by=director)
    assert refused.value.code == code


def test_a_changed_role_is_kept_with_its_day_and_whose_doing_it_was(
    keeper: Client, mechanic: Person, director: Person
) -> None:
    page = words(keeper.post(reverse("person_role", args=[mechanic.pk]), {"role": INSPECTOR}, follow=True))
    assert f"{mechanic} is now inspector." in page
    assert f"Role changed from Mechanic to Inspector, by {director}" in page
    row = mechanic.account_changes.get()
    assert (row.role_from, row.role_to, row.by) == (MECHANIC, INSPECTOR, director)
    with pytest.raises(TypeError):
        row.delete()
    again = keeper.post(reverse("person_role", args=[mechanic.pk]), {"role": INSPECTOR})
    assert (again.status_code, mechanic.account_changes.count()) == (422, 1)
    assert "has that role already" in words(again)


def test_nobody_changes_their_own_role_and_a_director_remains(keeper: Client, director: Person) -> None:
    page = reverse("person_role", args=[director.pk])
    assert "another director of maintenance has to" in words(keeper.get(page))
    assert keeper.post(page, {"role": MECHANIC}).status_code == 422
    other = PersonFactory.create(operator=director.operator, role=DIRECTOR)
    assert role_change(person=other, role=MECHANIC, by=director).role == MECHANIC
    with pytest.raises(DomainError) as refused:
        role_change(person=director, role=MECHANIC, by=other)
    assert refused.value.code == "last_director"
    director.refresh_from_db()
    assert director.role == DIRECTOR


def test_a_new_one_time_password_ends_the_old_one_and_is_on_record(
    keeper: Client, mechanic: Person, director: Person
) -> None:
    session, page = came_in(mechanic.username, PASSWORD), reverse("person_password", args=[mechanic.pk])
    assert session.get(reverse("engine_list")).status_code == 200
    assert "shown to nobody" in words(keeper.get(page))
    given = keeper.post(page)
    password = shown_password(given)
    assert PASSWORD not in given.content.decode()
    assert session.get(reverse("engine_list")).status_code == 302
    assert came_in(mechanic.username, PASSWORD).get(reverse("account_change_password")).status_code == 302
    assert came_in(mechanic.username, password).get(reverse("account_change_password")).status_code == 200
    shown = words(keeper.get(reverse("person_detail", args=[mechanic.pk])))
    assert f"New one-time password given, by {director}" in shown
    assert "An own password is not set yet; the one-time password is good until" in shown


def test_a_token_waits_for_the_own_password(keeper: Client, mechanic: Person) -> None:
    token = token_issue(person=mechanic, label="box")[1]
    program = {"headers": {"Authorization": f"Bearer {token}"}}
    assert Client().get(reverse("api:engine-list"), **program).status_code == 200  # type: ignore[arg-type]
    keeper.post(reverse("person_password", args=[mechanic.pk]))
    refused = Client().get(reverse("api:engine-list"), **program)  # type: ignore[arg-type]
    assert (refused.status_code, refused.json()["code"]) == (403, "own_password_needed")


def test_no_password_is_given_to_oneself_or_to_a_closed_account(
    keeper: Client, mechanic: Person, director: Person
) -> None:
    assert "My access" in words(keeper.get(reverse("person_password", args=[director.pk])))
    assert keeper.post(reverse("person_password", args=[director.pk])).status_code == 422
    keeper.post(reverse("person_deactivate", args=[mechanic.pk]))
    assert keeper.post(reverse("person_password", args=[mechanic.pk])).status_code == 422
    keeper.post(reverse("person_restore", args=[mechanic.pk]))
    assert [str(row) for row in mechanic.account_changes.all()] == ["Account closed", "Account opened again"]


def test_the_people_of_another_operator_are_not_there(client: Client, mechanic: Person, stranger: Person) -> None:
    signed_in(client, stranger)
    for name in ("person_role", "person_password"):
        assert client.get(reverse(name, args=[mechanic.pk])).status_code == 404
        assert client.post(reverse(name, args=[mechanic.pk]), {"role": INSPECTOR}).status_code == 404

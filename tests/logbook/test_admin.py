"""The reading room of the admin: one's own operator's records, and nothing changed."""

from typing import Any

import pytest
from django.contrib import admin
from django.test import Client
from django.urls import reverse

from engines.models import Engine, Operator
from inspections.models import Inspection
from logbook.models import ApiToken, Entry, Person
from logbook.tokens import token_issue
from tests.factories import PersonFactory
from tests.logbook.screen_kit import inspection_opened, words

REGISTRY: dict[Any, Any] = admin.site._registry
MODELS = sorted(REGISTRY, key=lambda model: model._meta.label)


@pytest.fixture
def inspection(engine: Engine, mechanic: Person) -> Inspection:
    """Return an inspection, with a token of the mechanic's beside it."""
    token_issue(person=mechanic, label="Recorder")
    return inspection_opened(engine, mechanic)


@pytest.fixture
def staff(client: Client, operator: Operator, inspection: Inspection) -> Client:
    """Return a client for a director who is staff."""
    client.force_login(PersonFactory.create(operator=operator, role="director", is_staff=True))
    return client


@pytest.fixture
def strange_staff(stranger: Person, inspection: Inspection) -> Client:
    """Return a client for the director of another operator, who is staff there."""
    stranger.is_staff = True
    stranger.save(update_fields=["is_staff"])
    client = Client()
    client.force_login(stranger)
    return client


def address(model: Any, page: str, *args: object) -> str:
    """Return the address of a page of the admin."""
    return reverse(f"admin:{model._meta.label_lower.replace('.', '_')}_{page}", args=args)


@pytest.mark.parametrize("model", MODELS)
def test_staff_read_their_operators_records(model: Any, staff: Client) -> None:
    assert staff.get(address(model, "changelist")).status_code == 200
    row = model._default_manager.first()
    assert staff.get(address(model, "change", row.pk)).status_code == 200
    assert staff.get(address(model, "history", row.pk)).status_code == 200


@pytest.mark.parametrize("model", MODELS)
def test_nothing_is_added_changed_or_deleted(model: Any, staff: Client) -> None:
    row = model._default_manager.first()
    pages = [address(model, "add"), address(model, "change", row.pk), address(model, "delete", row.pk)]
    assert [staff.post(page, {}).status_code for page in pages] == [403, 403, 403]
    marked = {"action": "delete_selected", "_selected_action": row.pk, "post": "yes"}
    staff.post(address(model, "changelist"), marked)
    assert model._default_manager.filter(pk=row.pk).exists()


@pytest.mark.parametrize("model", MODELS)
def test_staff_of_another_operator_see_none_of_it(model: Any, strange_staff: Client, operator: Operator) -> None:
    way = REGISTRY[model].of_operator
    theirs = model._default_manager.filter(**{way: operator})
    assert theirs.exists()
    listed = strange_staff.get(address(model, "changelist")).context["cl"].queryset
    assert not listed.filter(pk__in=theirs.values("pk")).exists()
    response = strange_staff.get(address(model, "change", theirs.first().pk))
    assert response["Location"] == reverse("admin:index")


def test_secrets_are_not_shown(staff: Client, mechanic: Person) -> None:
    token = ApiToken.objects.get(person=mechanic)
    assert token.digest not in words(staff.get(address(ApiToken, "change", token.pk)))
    page = staff.get(address(Person, "change", mechanic.pk)).content.decode()
    assert mechanic.username in page
    assert mechanic.password not in page


def test_an_entry_is_shown_as_it_stood(staff: Client) -> None:
    entry = Entry.objects.get()
    assert entry.body["title"] in words(staff.get(address(Entry, "change", entry.pk)))


def test_signing_in_and_passwords_have_their_own_screens(staff: Client) -> None:
    assert staff.get(reverse("admin:login"))["Location"] == reverse("sign_in")
    assert staff.get(reverse("admin:password_change"))["Location"] == reverse("account_change_password")

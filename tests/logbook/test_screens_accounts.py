"""Signing in and out, and the frame around every screen."""

import pytest
from django.test import Client
from django.urls import reverse

from logbook.models import Person
from tests.logbook.screen_kit import PASSWORD, signed_in, words


def test_the_right_password_opens_what_was_asked_for(client: Client, mechanic: Person) -> None:
    sheet = {"login": mechanic.username, "password": PASSWORD, "next": reverse("entry_list")}
    assert client.post(reverse("sign_in"), sheet)["Location"] == reverse("entry_list")


def test_without_an_errand_the_engines_come_first(client: Client, mechanic: Person) -> None:
    response = client.post(reverse("sign_in"), {"login": mechanic.username, "password": PASSWORD})
    assert response["Location"] == reverse("engine_list")
    assert client.get(reverse("sign_in"))["Location"] == reverse("engine_list")


@pytest.mark.parametrize(
    ("name", "password", "says"),
    [
        ("mechanic", "wrong", "That name and password do not belong together."),
        ("nobody", PASSWORD, "That name and password do not belong together."),
        ("", PASSWORD, "Give the name you sign in with."),
        ("mechanic", "", "Give your password."),
    ],
)
def test_a_refusal_keeps_the_name_and_says_what_to_do(
    name: str, password: str, says: str, client: Client, mechanic: Person
) -> None:
    response = client.post(reverse("sign_in"), {"login": name, "password": password})
    assert says in words(response)
    assert f'value="{name}"' in response.content.decode() or not name


def test_signing_out_is_sent_and_ends_the_session(client: Client, mechanic: Person) -> None:
    signed_in(client, mechanic)
    assert client.get(reverse("sign_out")).status_code == 405
    assert client.post(reverse("sign_out"))["Location"] == reverse("sign_in")
    assert client.get(reverse("engine_list")).status_code == 302


def test_the_frame_names_the_ways_and_the_person(client: Client, mechanic: Person) -> None:
    response = signed_in(client, mechanic).get(reverse("engine_list"))
    page = words(response)
    assert "Engines Open inspections Not sent yet Handover Limits Entries" in page
    assert f"{mechanic}, mechanic · {mechanic.operator}" in page
    assert "The tool proposes; a person decides and signs." in page
    assert 'aria-current="page">Engines' in response.content.decode()


def test_a_theme_chosen_before_is_kept(client: Client, mechanic: Person) -> None:
    signed_in(client, mechanic)
    assert "data-theme" not in client.get(reverse("engine_list")).content.decode().split("<body")[0]
    client.cookies["theme"] = "dark"
    assert ' data-theme="dark">\n<head>' in client.get(reverse("engine_list")).content.decode()


def test_pages_carry_no_script_and_no_style_of_their_own(client: Client, mechanic: Person) -> None:
    page = signed_in(client, mechanic).get(reverse("engine_list")).content.decode()
    assert all(f" {name}=" not in page for name in ("style", "onclick", "onload", "onsubmit"))
    assert "<style" not in page
    assert all(part.startswith(" src=") or ' src="' in part.split(">")[0] for part in page.split("<script")[1:])


def test_a_page_that_was_open_too_long_says_so(mechanic: Person) -> None:
    client = signed_in(Client(enforce_csrf_checks=True), mechanic)
    response = client.post(reverse("sign_out"))
    assert response.status_code == 403
    assert "This page was open too long" in words(response)

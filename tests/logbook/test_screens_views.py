"""Saved views: an address that stays while its filters change, read by others, changed by whose it is."""

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from inspections.models import Inspection
from logbook.models import Person, SavedView
from tests.logbook.screen_kit import signed_in, words


def keep(client: Client, **sheet: str) -> Any:
    """Keep a view of the inspections."""
    return client.post(reverse("view_keep"), {"of": "inspection_list", "name": "Mine", "query": ""} | sheet)


@pytest.fixture
def view(client: Client, director: Person) -> SavedView:
    """Return a view of the director, who is signed in."""
    keep(signed_in(client, director), name="Old ones", query="age=over-30&page=4&nonsense=1&state=")
    return SavedView.objects.get()


def address_of(view: SavedView) -> str:
    """Return the address that stays."""
    return reverse("view_open", args=[view.pk])


def test_a_view_keeps_what_narrows_the_list_and_nothing_else(client: Client, view: SavedView) -> None:
    assert view.query == "age=over-30"
    opened = client.get(address_of(view), follow=True)
    assert opened.redirect_chain == [(f"/inspections/?age=over-30&view={view.pk}", 302)]
    assert "View Old ones . Its address: testserver/views/" in words(opened)
    assert "Put these filters into “Old ones”" in words(opened)


def test_later_edits_reach_the_address(client: Client, view: SavedView) -> None:
    changed = client.post(reverse("view_change", args=[view.pk]), {"query": "serial=TB&view=x"})
    assert changed["Location"] == address_of(view)
    assert client.get(address_of(view))["Location"] == f"/inspections/?serial=TB&view={view.pk}"
    renamed = client.post(reverse("view_change", args=[view.pk]), {"name": "TB engines"})
    assert renamed["Location"] == reverse("view_list")
    view.refresh_from_db()
    assert (view.name, view.query) == ("TB engines", "serial=TB")


def test_a_view_without_filters_leads_to_the_whole_list(client: Client, view: SavedView) -> None:
    client.post(reverse("view_change", args=[view.pk]), {"query": ""})
    assert client.get(address_of(view))["Location"] == f"/inspections/?view={view.pk}"


def test_others_of_the_operator_open_it_but_do_not_change_it(
    client: Client, view: SavedView, mechanic: Person, director: Person
) -> None:
    signed_in(client, mechanic)
    page = words(client.get(address_of(view), follow=True))
    assert f"View Old ones of {director}. Its address" in page
    assert "Put these filters" not in page
    for name, sheet in (("view_change", {"name": "Taken"}), ("view_drop", {})):
        refused = client.post(reverse(name, args=[view.pk]), sheet)
        assert (refused.status_code, f"This view is {director}'s" in words(refused)) == (422, True)
    assert f"Old ones , inspections, kept by {director}" in words(client.get(reverse("view_list")))
    view.refresh_from_db()
    assert view.name == "Old ones"


def test_another_operator_does_not_find_it(client: Client, view: SavedView, stranger: Person) -> None:
    signed_in(client, stranger)
    assert client.get(address_of(view)).status_code == 404
    for name in ("view_change", "view_drop"):
        assert client.post(reverse(name, args=[view.pk]), {"name": "x"}).status_code == 404
    assert "Old ones" not in words(client.get(reverse("view_list")))
    assert "Old ones" not in words(client.get(reverse("inspection_list"), {"view": str(view.pk)}))


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        ({"name": " "}, "Give the view a name."),
        ({"name": "n" * 81}, "at most 80 letters"),
        ({"name": "Old  ones"}, "You have a view named “Old ones” of this list already."),
        ({"query": "serial=" + "x" * 500}, "too much to keep in one view"),
        ({"of": "run_list"}, "There is no list 'run_list'"),
    ],
)
def test_what_cannot_be_kept_is_refused(sheet: dict[str, str], says: str, client: Client, view: SavedView) -> None:
    refused = keep(client, **sheet)
    assert (refused.status_code, SavedView.objects.count()) == (422, 1)
    assert says in words(refused)


@pytest.mark.parametrize("of", ["entry_list", "engine_list"])
def test_entries_and_engines_have_views_too(of: str, client: Client, director: Person) -> None:
    keep(signed_in(client, director), of=of, query="engine_type=1&kind=run", name="Ours")
    kept = {"entry_list": "kind=run", "engine_list": "engine_type=1"}[of]
    view = SavedView.objects.get()
    assert view.query == kept
    assert "Ours" in words(client.get(reverse(of), {"view": str(view.pk)}))


def test_a_view_is_taken_away_and_its_address_with_it(client: Client, view: SavedView) -> None:
    assert "is gone. Nothing that it listed has changed." in words(
        client.post(reverse("view_drop", args=[view.pk]), follow=True)
    )
    assert client.get(address_of(view)).status_code == 404
    assert client.get(reverse("view_open", args=[uuid.uuid4()])).status_code == 404


def test_a_list_opened_by_no_view_shows_none(client: Client, director: Person) -> None:
    signed_in(client, director)
    assert Inspection.objects.count() == 0
    page = words(client.get(reverse("inspection_list"), {"view": "not a key"}))
    assert "You have kept no view of this list." in page

"""The inspection programme of an engine's aircraft by REST: what stands, what is against it, and every selection."""

from django.urls import reverse

from engines.models import Engine
from logbook.models import Person
from tests.logbook.api.conftest import Door
from tests.programmes import selected


def test_it_is_told_by_rest(door: Door, engine: Engine, director: Person, mechanic: Person) -> None:
    address = reverse("api:engine-programme", args=[engine.pk])
    told = door(mechanic).get(address).json()
    assert (told["standing"], told["life_limits"], told["past"], told["selections"]) == (None, 0, [], [])
    entry = selected(engine, director)
    told = door(mechanic).get(address).json()
    assert (told["against"], told["standing"]["entry"], told["standing"]["option"]) == ([], entry.number, "maker")
    assert told["selections"] == [told["standing"]]

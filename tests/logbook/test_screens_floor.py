"""The screens at the engine: one name each, closed to whoever may not come in, and sealed between operators."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from engines.models import Engine
from inspections.actions import HandoverFacts, handover_give
from logbook import urls_floor
from logbook.access import act_of
from logbook.models import Person
from tests.layers import ROOT
from tests.logbook.screen_kit import inspection_opened, signed_in

SCREENS = {"run_timer", "handover_list", "handover_give", "run_sign", "unsigned_list"}
SENT = {"handover_take"}
FOR_WORKERS = {"run_timer", "handover_give", "run_sign"}


@pytest.fixture
def address(engine: Engine, mechanic: Person, inspector: Person) -> Callable[[str], str]:
    """Return a function from a name to its address for an engine with a job that is handed over."""
    inspection = inspection_opened(engine, mechanic)
    facts = HandoverFacts("a", "b", "c", "d")
    handover = handover_give(inspection=inspection, facts=facts, told_to=inspector, by=mechanic)
    keys: dict[str, list[object]] = {
        "run_timer": [engine.pk],
        "handover_give": [inspection.pk],
        "handover_take": [handover.pk],
    }
    keys["run_sign"] = [inspection.run_id]
    return lambda name: reverse(name, args=keys.get(name))


def test_every_address_here_is_known() -> None:
    assert {pattern.name for pattern in urls_floor.urlpatterns} == SCREENS | SENT


@pytest.mark.parametrize("name", sorted(SCREENS))
def test_a_screen_has_one_name(name: str) -> None:
    (pattern,) = [pattern for pattern in urls_floor.urlpatterns if pattern.name == name]
    assert (pattern.callback.__name__, len(list((ROOT / "templates").rglob(f"{name}.html")))) == (name, 1)


@pytest.mark.parametrize("name", sorted(SCREENS | SENT))
def test_the_table_of_access_knows_it(name: str) -> None:
    assert act_of(name, "POST" if name in SENT else "GET") is not None


@pytest.mark.parametrize("name", sorted(SCREENS | SENT))
def test_nobody_comes_in_without_signing_in(name: str, address: Callable[[str], str], client: Client) -> None:
    response = client.post(address(name)) if name in SENT else client.get(address(name))
    assert (response.status_code, response["Location"].split("?")[0]) == (302, reverse("sign_in"))


@pytest.mark.parametrize("name", sorted(FOR_WORKERS | SENT))
def test_an_auditor_works_nowhere(name: str, address: Callable[[str], str], client: Client, auditor: Person) -> None:
    signed_in(client, auditor)
    response = client.post(address(name)) if name in SENT else client.get(address(name))
    assert response.status_code == 403


@pytest.mark.parametrize("name", sorted((SCREENS | SENT) - {"handover_list", "unsigned_list"}))
def test_another_operators_things_are_not_there(
    name: str, address: Callable[[str], str], client: Client, stranger: Person
) -> None:
    signed_in(client, stranger)
    response = client.post(address(name)) if name in SENT else client.get(address(name))
    assert response.status_code == 404


def test_jobs_are_taken_not_opened(address: Callable[[str], str], client: Client, inspector: Person) -> None:
    assert signed_in(client, inspector).get(address("handover_take")).status_code == 405

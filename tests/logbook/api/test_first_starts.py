"""First-start plans by REST: read, opened by hand, and carried on; and the two people of a supervised start."""

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from engines.actions import plan_open
from engines.models import Engine, FirstStart, Run
from logbook.models import Person
from tests.engines.first_starts_kit import DRY
from tests.factories import RunFactory
from tests.first_starts import GOOD, asks_for_first_starts, covering
from tests.logbook.api.conftest import Door


@pytest.fixture
def asking(engine: Engine) -> Engine:
    """Return an engine whose type asks for a first start."""
    return asks_for_first_starts(engine)


def plans(asking: Engine) -> str:
    """Return the address of an engine's plans."""
    return reverse("api:engine-first-starts", args=[asking.pk])


def test_a_plan_is_opened_by_hand_and_read(door: Door, asking: Engine, director: Person, mechanic: Person) -> None:
    client = door(director)
    sent = {"asked": "Fuel system bled", "reason": "Filter changed"}
    made = client.post(plans(asking), sent, format="json")
    assert made.status_code == 201, made.content
    told = made.json()
    assert [(cause["when"], cause["text"], cause["reason"]) for cause in told["causes"]] == [
        ("by_hand", "Fuel system bled", "Filter changed")
    ]
    assert [(step["name"], step["state"]) for step in told["steps"]][:2] == [
        (DRY, "in_turn"), ("Manual-fuel start and transfer", "to_come"),
    ]  # fmt: skip
    assert (told["outcome"], told["entry"], told["lines"]) == (None, None, [])
    assert door(mechanic).get(plans(asking)).json()["results"] == [told]


def test_what_the_type_does_not_ask_after_is_refused(door: Door, asking: Engine, director: Person) -> None:
    client = door(director)
    refused = client.post(plans(asking), {"asked": "Rain", "reason": "It rained"}, format="json")
    assert (refused.status_code, refused.json()["code"]) == (422, "trigger_unknown")
    other = client.post(plans(asking), {"reason": "It rained"}, format="json")
    assert other.json()["causes"][0]["text"] == "Asked for by hand"


def test_only_inspector_and_director_open_one(door: Door, asking: Engine, mechanic: Person, stranger: Person) -> None:
    sent = {"reason": "It rained"}
    assert door(mechanic).post(plans(asking), sent, format="json").status_code == 403
    assert door(stranger).post(plans(asking), sent, format="json").status_code == 404


def test_a_step_is_recorded_by_a_run_that_is_recorded(
    door: Door, asking: Engine, mechanic: Person, director: Person, stranger: Person
) -> None:
    plan = plan_open(engine=asking, trigger=None, reason="Bled", by=director, at=timezone.now() - timedelta(hours=1))
    run = RunFactory.create(engine=asking, kind="dry_motoring", started_at=timezone.now())
    address, client = reverse("api:first-start-steps", args=[plan.pk]), door(mechanic)
    said: dict[str, Any] = {"step": DRY, "ending": GOOD}
    for wrong in ({}, {"run": "00000000-0000-4000-8000-000000000000"}):
        refused = client.post(address, said | wrong, format="json")
        assert (refused.status_code, refused.json()["code"]) == (422, "run_not_of_step")
    made = client.post(address, said | {"run": str(run.pk)}, format="json")
    assert made.status_code == 201, made.content
    assert [(line["step"], line["is_done"], line["run"]) for line in made.json()["lines"]] == [(DRY, True, str(run.pk))]
    assert FirstStart.objects.get().progress.done == 1
    assert door(stranger).post(address, said, format="json").status_code == 404


def test_a_run_names_both_people(door: Door, engine: Engine, mechanic: Person, director: Person) -> None:
    covering(director, "running")
    sent = {"engine": engine.pk, "kind": "dry_motoring", "started_at": timezone.now().isoformat(), "starter_s": 20.0}
    people = {"trainee": "Wren Ashdown", "supervisor": director.username}
    made = door(mechanic).post(reverse("api:run-list"), sent | people, format="json")
    assert made.status_code == 201, made.content
    told = made.json()
    assert (told["trainee"], told["supervisor"], told["typed"]["starter_s"]) == ("Wren Ashdown", str(director), 20.0)
    assert Run.objects.get().supervisor == director
    unknown = sent | {"trainee": "Wren Ashdown", "supervisor": "nobody"}
    refused = door(mechanic).post(reverse("api:run-list"), unknown, format="json")
    assert refused.status_code == 400

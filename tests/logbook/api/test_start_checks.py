"""Checks before a start by REST: judged as on the sheet."""

from uuid import uuid4

from django.urls import reverse

from engines.models import Engine
from logbook.models import Concern, Person
from tests.logbook.api.conftest import Door
from tests.logbook.test_screens_checks import checked

__all__ = ["checked"]

LEVERS = {"name": "Levers and fuel off", "so": True}
LOW = {"name": "Battery at rest", "value": 22.0}


def test_answers_are_judged_and_kept_once(door: Door, checked: Engine, mechanic: Person, auditor: Person) -> None:
    address, client = reverse("api:engine-start-checks", args=[checked.pk]), door(mechanic)
    body = {"id": str(uuid4()), "answers": [LEVERS, LOW]}
    refused = client.post(address, body, format="json")
    assert (refused.status_code, refused.json()["code"]) == (422, "reason_needed")
    assert refused.json()["fields"] == {"1": "Battery at rest: 22 V; the type asks for at least 24 V."}
    body["answers"] = [LEVERS, LOW | {"reason": "Ground power goes on next"}]
    for _ in range(2):
        kept = client.post(address, body, format="json")
        assert (kept.status_code, kept.json()["id"]) == (201, body["id"])
    assert Concern.objects.count() == 1
    listed = door(auditor).get(address).json()
    assert [one["answers"][1]["said"] for one in listed["results"]] == ["22 V"]
    assert door(auditor).post(address, body, format="json").status_code == 403


def test_what_was_not_answered_is_out_of_place(door: Door, checked: Engine, mechanic: Person) -> None:
    address, client = reverse("api:engine-start-checks", args=[checked.pk]), door(mechanic)
    answers = [{"name": "Levers and fuel off", "so": False}]
    refused = client.post(address, {"answers": answers}, format="json").json()
    assert set(refused["fields"]) == {"0", "1"}
    answers = [{"name": "Levers and fuel off"}, {"name": "Battery at rest"}]
    assert set(client.post(address, {"answers": answers}, format="json").json()["fields"]) == {"0", "1"}


def test_an_unknown_check_or_engine_is_refused(door: Door, checked: Engine, mechanic: Person) -> None:
    address, client = reverse("api:engine-start-checks", args=[checked.pk]), door(mechanic)
    refused = client.post(address, {"answers": [{"name": "Windscreen", "so": True}]}, format="json").json()
    assert refused["code"] == "check_unknown"
    assert client.get(reverse("api:engine-start-checks", args=[0])).status_code == 404

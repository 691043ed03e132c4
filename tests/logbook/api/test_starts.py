"""Starts and their drift by REST: the same as on the screen."""

from uuid import uuid4

from django.urls import reverse

from engines.models import Engine
from logbook.models import Person
from tests.logbook.api.conftest import Door
from tests.logbook.test_screens_start import drifting, told

__all__ = ["told"]


def test_starts_and_drift_by_rest(door: Door, told: Engine, mechanic: Person, auditor: Person) -> None:
    runs, client = drifting(told, mechanic), door(auditor)
    answer = client.get(reverse("api:run-starts", args=[runs[0].pk])).json()
    assert (answer["starts"][0]["outcome"], answer["starts"][0]["figures"]["peak"]) == ("started", 655.0)
    assert (answer["revision"], len(answer["starts"][0]["curve"]["speed"]), len(answer["shutdowns"])) == (1, 71, 1)
    drift = client.get(reverse("api:engine-start-drift", args=[told.pk])).json()
    peak = next(one for one in drift["figures"] if one["key"] == "peak")
    assert (peak["verdict"], len(peak["values"]), peak["drift"]["rule"]["weight"]) == ("Drifts higher", 9, 0.3)
    assert client.get(reverse("api:run-starts", args=[uuid4()])).status_code == 404
    assert client.get(reverse("api:engine-start-drift", args=[0])).status_code == 404

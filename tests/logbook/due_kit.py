"""An engine with tasks, and short ways to its screens of what comes due."""

from datetime import timedelta
from typing import Any

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.models import Engine
from engines.standing import standings_of
from logbook.models import Person
from tests.documents import type_document
from tests.factories import RunFactory, TypeRevisionFactory

H = 3600
TODAY = timezone.localdate()
LOOK = {"name": "Look", "kind": "inspection", "mandatory": True, "repeat": {"run_time_h": 100}}
FILTER = {"name": "Filter", "kind": "oil_filter", "mandatory": False, "repeat": {"run_time_h": 500, "days": 400}}
DIRECTIVE = {
    "name": "Disc",
    "kind": "directive",
    "mandatory": True,
    "number": "INV-7",
    "initial": {"days": 30},
    "repeat": {"days": 60},
    "extension": {"days": 10},
    "counts_from": "begun",
    "source": "invented for the tests",
}


def engine_with_tasks(engine: Engine) -> Engine:
    """Give an engine's type tasks, and the engine twelve runs, every third week."""
    TypeRevisionFactory.create(engine_type=engine.engine_type, document=type_document() | {"tasks": [LOOK, FILTER]})
    for run in range(12):
        began = timezone.now() - timedelta(days=21 * run + 2)
        RunFactory.create(engine=engine, started_at=began, run_time_s=(4 + run % 3) * H, starts=1)
    return engine


def came(client: Client, person: Person) -> Client:
    client.force_login(person)
    return client


def page(client: Client, name: str, *keys: Any, **query: Any) -> str:
    response = client.get(reverse(name, args=keys), query)
    assert response.status_code == 200
    return " ".join(response.content.decode().split())


def under(person: Person) -> dict[str, Any]:
    """Return by which certificate a person signs."""
    return {"certificate": person.certificates.earliest("pk").pk}


def key_of(engine: Engine, name: str) -> str:
    return next(s.key for s in standings_of([engine])[engine.pk] if s.task.name == name)

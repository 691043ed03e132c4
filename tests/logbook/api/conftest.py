"""Doors for the cast: a client of the REST interface for each person."""

from collections.abc import Callable

import pytest
from rest_framework.test import APIClient

from engines.models import Engine, Run
from inspections.models import Inspection
from logbook.models import Person
from logbook.tokens import token_issue
from tests.logbook.api.kit import RUNS, run_body, trace_csv

Door = Callable[[Person], APIClient]


@pytest.fixture(autouse=True)
def trace_folder(settings: pytest.FixtureRequest, tmp_path: object) -> None:
    """Keep the traces of a test in a folder of its own."""
    stored = dict(settings.STORAGES)  # type: ignore[attr-defined]
    stored["traces"] = {**stored["traces"], "OPTIONS": {"location": tmp_path}}
    settings.STORAGES = stored  # type: ignore[attr-defined]


@pytest.fixture
def door() -> Door:
    """Return a function from a person to a client that acts for them by a bearer token."""

    def opened(person: Person) -> APIClient:
        client = APIClient()
        client.credentials(HTTP_AUTHORIZATION=f"Bearer {token_issue(person=person, label='tests')[1]}")
        return client

    return opened


@pytest.fixture
def hot_run(door: Door, mechanic: Person, engine: Engine) -> Run:
    """Return a run whose trace stayed in area B, sent through the door."""
    body = run_body(engine)
    assert door(mechanic).post(RUNS, body, format="json").status_code == 201
    address = f"{RUNS}{body['id']}/trace/"
    sent = door(mechanic).generic("POST", address, trace_csv(hot_s=20, hot=730.0), content_type="text/csv")
    assert sent.status_code == 201, sent.content
    return Run.objects.get(pk=body["id"])


@pytest.fixture
def hot_inspection(hot_run: Run) -> Inspection:
    """Return the inspection that the hot run called for: a required inspection item with two steps."""
    return hot_run.inspections.get(rule="area B")

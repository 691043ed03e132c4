"""Doors for the cast: a client of the REST interface for each person."""

from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.files.storage import storages
from rest_framework.test import APIClient

from engines.models import Engine, Run
from inspections.models import Inspection
from logbook.models import Person
from logbook.tokens import token_issue, token_used
from tests.logbook.api.kit import RUNS, run_body, trace_csv
from tests.signed import run_signed

Door = Callable[[Person], APIClient]


@pytest.fixture(autouse=True)
def trace_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """Keep the traces of a test in a folder of its own, and return it."""
    # The model's fields hold the storage itself, so that its settings come too late here.
    for name in ("base_location", "location"):
        monkeypatch.setitem(vars(storages["traces"]), name, str(tmp_path / "traces"))
    return tmp_path / "traces"


def opened(person: Person) -> APIClient:
    """Return a client that acts for a person by a bearer token."""
    client = APIClient()
    row, token = token_issue(person=person, label=f"tests {person.api_tokens.count()}")
    # Noting the first use would be one more question to the database, in whichever test asks first.
    token_used(token=row)
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {token}")
    return client


@pytest.fixture
def door() -> Door:
    """Return the function from a person to their client."""
    return opened


def hot_run_sent(mechanic: Person, engine: Engine) -> Run:
    """Send a run whose trace stayed in area B through the door, and sign it."""
    body = run_body(engine)
    assert opened(mechanic).post(RUNS, body, format="json").status_code == 201
    run_signed(Run.objects.get(pk=body["id"]), mechanic)
    address = f"{RUNS}{body['id']}/trace/"
    sent = opened(mechanic).generic("POST", address, trace_csv(hot_s=20, hot=730.0), content_type="text/csv")
    assert sent.status_code == 201, sent.content
    run_signed(Run.objects.get(pk=body["id"]), mechanic)
    return Run.objects.get(pk=body["id"])


@pytest.fixture
def hot_run(mechanic: Person, engine: Engine) -> Run:
    """Return a run whose trace stayed in area B, sent through the door."""
    return hot_run_sent(mechanic, engine)


@pytest.fixture
def hot_inspection(hot_run: Run) -> Inspection:
    """Return the inspection that the hot run called for: a required inspection item with two steps."""
    return hot_run.inspections.get(rule="area B")

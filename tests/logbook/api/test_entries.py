import io
from typing import Any

import pytest
from pypdf import PdfReader
from rest_framework.test import APIClient

from engines.models import Engine, Run
from logbook.models import Entry, Person
from tests.factories import EngineFactory
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, RUNS, problem_of, run_body
from tests.signed import run_signed

ENTRIES = f"{API}entries/"


@pytest.fixture
def client(door: Door, mechanic: Person) -> APIClient:
    """Return the mechanic's client."""
    return door(mechanic)


def test_an_entry_shows_all_that_prints(client: APIClient, hot_run: Run, mechanic: Person) -> None:
    answer = client.get(f"{ENTRIES}2/").json()
    assert (answer["number"], answer["kind"], answer["run"]) == (2, "exceedance", str(hot_run.pk))
    assert (answer["engine_serial"], answer["signed_by"]) == ("TB-0001", str(mechanic))
    assert answer["completed_on"] == "2026-05-04"
    assert answer["body"] == Entry.objects.get(number=2).body


@pytest.mark.parametrize(
    ("query", "numbers"),
    [
        ("", [1, 2]),
        ("engine={engine}", [1]),
        ("kind=run", [1, 2]),
        ("kind=inspection", []),
        ("from=2026-05-05", [2]),
        ("to=2026-05-04", [1]),
        ("from=2026-05-04&to=2026-05-06", [1, 2]),
    ],
)
def test_the_list_is_narrowed(
    query: str, numbers: list[int], client: APIClient, engine: Engine, mechanic: Person
) -> None:
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="ZZ-1")
    for of, began in ((engine, "2026-05-04T12:00:00Z"), (other, "2026-05-06T12:00:00Z")):
        sent = client.post(RUNS, run_body(of, started_at=began), format="json").json()
        run_signed(Run.objects.get(pk=sent["id"]), mechanic)
    answer = client.get(f"{ENTRIES}?{query.format(engine=engine.pk)}").json()
    assert [row["number"] for row in answer["results"]] == numbers


def test_a_day_that_is_none_is_refused(client: APIClient) -> None:
    assert list(problem_of(client.get(f"{ENTRIES}?from=2026-02-30"), 400)["fields"]) == ["from"]


@pytest.mark.parametrize(("query", "width"), [("", 595), ("?paper=a4", 595), ("?paper=letter", 612)])
def test_an_entry_prints(query: str, width: int, client: APIClient, hot_run: Run) -> None:
    response: Any = client.get(f"{ENTRIES}2/print/{query}", HTTP_ACCEPT="application/pdf")
    assert (response.status_code, response["Content-Type"]) == (200, "application/pdf")
    pages = PdfReader(io.BytesIO(response.content)).pages
    assert round(float(pages[0].mediabox.width)) == width
    assert "TB-0001" in pages[0].extract_text()


def test_another_paper_is_refused(client: APIClient, hot_run: Run) -> None:
    assert list(problem_of(client.get(f"{ENTRIES}2/print/?paper=a3"), 400)["fields"]) == ["paper"]


@pytest.mark.parametrize("path", ["99/", "99/print/"])
def test_a_number_that_is_none_is_not_found(path: str, client: APIClient) -> None:
    assert problem_of(client.get(f"{ENTRIES}{path}"), 404)["code"] == "not_found"


def test_entries_are_never_changed(client: APIClient, hot_run: Run) -> None:
    for method in ("put", "patch", "delete"):
        assert problem_of(getattr(client, method)(f"{ENTRIES}1/"), 405)["code"] == "method_not_allowed"

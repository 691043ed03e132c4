from typing import Any

import pytest
from rest_framework.test import APIClient

from engines.models import Operator
from inspections.models import Inspection
from logbook.models import Person
from tests.documents import type_document
from tests.factories import PersonFactory
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, problem_of

WORKERS = {"mechanic", "inspector", "director"}
SECONDS = {"inspector", "director"}


# Everything that changes something, and whose role lets them; {keys} are filled from one operator's records.
WRITES = {
    "engine-types/": SECONDS,
    "engine-types/{type}/revisions/": SECONDS,
    "engine-types/{type}/revisions/1/adopt/": SECONDS,
    "engines/": {"director"},
    "runs/": WORKERS,
    "runs/{run}/trace/": WORKERS,
    "inspections/{inspection}/begin/": WORKERS,
    "inspections/{inspection}/steps/1/answer/": WORKERS,
    "inspections/{inspection}/findings/": WORKERS,
    "inspections/{inspection}/notes/": WORKERS,
    "inspections/{inspection}/actions/": WORKERS,
    "inspections/{inspection}/cause/": WORKERS,
    "inspections/{inspection}/second/": SECONDS,
    "components/": WORKERS,
    "components/1/fit/": WORKERS,
    "components/1/remove/": WORKERS,
    "components/1/move/": WORKERS,
    "components/1/send/": WORKERS,
    "components/1/strike/": WORKERS,
    "components/1/limits/": SECONDS,
    "components/1/limits/1/replace/": SECONDS,
    "components/1/limits/1/done/": WORKERS,
    "part-drafts/00000000-0000-0000-0000-000000000000/drop/": WORKERS,
}
READS = [
    "engine-types/{type}/",
    "engine-types/{type}/revisions/",
    "engine-types/{type}/revisions/1/replay/",
    "engines/{engine}/",
    "runs/{run}/",
    "runs/{run}/verdict/",
    "runs/{run}/trace/",
    "inspections/{inspection}/",
    "entries/1/",
    "entries/1/print/",
]
LISTS = ["engine-types/", "engines/", "runs/", "inspections/", "components/", "part-drafts/", "entries/"]


@pytest.fixture
def keys(hot_inspection: Inspection) -> dict[str, Any]:
    """Return what fills the addresses of one operator's records."""
    return {
        "type": hot_inspection.engine.engine_type_id,
        "engine": hot_inspection.engine_id,
        "run": hot_inspection.run_id,
        "inspection": hot_inspection.pk,
    }


def post(client: APIClient, path: str, body: dict[str, Any] | None = None) -> Any:
    return client.post(API + path, body or {}, format="multipart" if path.endswith("trace/") else "json")


@pytest.mark.parametrize("role", ["mechanic", "inspector", "director", "auditor"])
def test_a_role_may_do_what_the_table_says(role: str, door: Door, operator: Operator, keys: dict[str, Any]) -> None:
    """An empty body is wrong for most, so that all but a refusal of the role counts as let in."""
    client = door(PersonFactory.create(operator=operator, role=role))
    answers = {path: post(client, path.format(**keys)) for path in WRITES}
    refused = {path for path, answer in answers.items() if answer.status_code == 403}
    assert refused == {path for path, allowed in WRITES.items() if role not in allowed}
    assert all(problem_of(answers[path], 403)["code"] == "role_may_not" for path in refused)


@pytest.mark.parametrize("noun", LISTS)
def test_whoever_has_no_operator_may_not_even_read(noun: str, door: Door, db: None) -> None:
    nobody = PersonFactory.create(operator=None, role="director", is_superuser=True)
    assert problem_of(door(nobody).get(f"{API}{noun}"), 403)["code"] == "role_may_not"


def test_an_auditor_reads_everything(door: Door, auditor: Person, keys: dict[str, Any]) -> None:
    client = door(auditor)
    answers = {path: client.get(API + path.format(**keys)) for path in LISTS + READS}
    assert {path: answer.status_code for path, answer in answers.items()} == dict.fromkeys(answers, 200)
    assert b"".join(answers["runs/{run}/trace/"]).startswith(b"time_s,itt")


def test_lists_hold_nothing_of_another_operator(door: Door, stranger: Person, keys: dict[str, Any]) -> None:
    client = door(stranger)
    assert {path: client.get(API + path).json()["results"] for path in LISTS} == {path: [] for path in LISTS}


def test_a_stranger_finds_nothing_of_another_operator(door: Door, stranger: Person, keys: dict[str, Any]) -> None:
    client = door(stranger)
    revision = {"document": type_document(), "source": "s", "in_force_from": "2026-06-01"}
    answers = {path: client.get(API + path.format(**keys)) for path in READS}
    for path in WRITES:
        if "{" in path:
            body = revision if path.endswith("revisions/") else {}
            answers[f"POST {path}"] = post(client, path.format(**keys), body)
    assert {path: problem_of(answer, 404)["code"] for path, answer in answers.items()} == dict.fromkeys(
        answers, "not_found"
    )

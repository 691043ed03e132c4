"""Where figures come from, by REST: the same as on the screen."""

from datetime import timedelta
from typing import Any

import pytest
from rest_framework.test import APIClient

from engines.models import Engine, Run
from inspections.queries import judgement_of
from logbook.models import Person
from logbook.sources import FROM_THE_GAUGE, Source
from tests.factories import STARTED_AT, RunFactory
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import RUNS, problem_of, run_body

AREA_A = {"chart": "ITT, running", "peak": 715.0, "seconds": 70.0}


@pytest.fixture
def client(door: Door, auditor: Person) -> APIClient:
    """Return the auditor's client."""
    return door(auditor)


def source(run: Run, kind: str = "excursions", place: int = 1) -> str:
    """Return where a source of a run is asked for."""
    return f"{RUNS}{run.pk}/{kind}/{place}/source/"


def test_an_excursion_opens_its_arithmetic_and_its_samples(client: APIClient, hot_run: Run) -> None:
    answer = client.get(source(hot_run)).json()
    verdict = client.get(f"{RUNS}{hot_run.pk}/verdict/").json()
    assert answer["excursion"] == verdict["excursions"][0]
    standing = judgement_of(hot_run)
    assert standing is not None
    shown = Source(standing, 1).explanation
    assert {name: tuple(v) if isinstance(v, list) else v for name, v in answer["explanation"].items()} == vars(shown)
    assert (answer["chart"]["name"], answer["chart"]["revision"]) == ("ITT, running", standing.revision.number)
    assert sum(line["beyond_s"] for line in answer["samples"]) == pytest.approx(answer["excursion"]["seconds_above"])
    assert max(line["value"] for line in answer["samples"]) == answer["excursion"]["peak"] == 730.0
    assert answer["no_samples"] == ""


def recorded(client: APIClient, engine: Engine, day: int) -> Run:
    """Record a run with a reading in area A."""
    began = (STARTED_AT + timedelta(days=day)).isoformat()
    body = run_body(engine, started_at=began, readings=[AREA_A])
    assert client.post(RUNS, body, format="json").status_code == 201
    return Run.objects.get(pk=body["id"])


def test_a_reading_says_why_it_has_no_samples(client: APIClient, door: Door, mechanic: Person, engine: Engine) -> None:
    answer = client.get(source(recorded(door(mechanic), engine, 0))).json()
    assert (answer["samples"], answer["no_samples"]) == ([], FROM_THE_GAUGE)


def test_a_count_opens_what_it_counted(client: APIClient, door: Door, mechanic: Person, engine: Engine) -> None:
    first, last = (recorded(door(mechanic), engine, day) for day in (0, 1))
    answer = client.get(source(last, "repeats")).json()
    assert answer["count"] == client.get(f"{RUNS}{last.pk}/verdict/").json()["repeats"][0]
    assert (answer["count"]["counted"], answer["total_now"]) == (2, 2)
    assert [(line["run"], line["area"], line["why_not"]) for line in answer["lines"]] == [
        (str(run.pk), "A", "") for run in (last, first)
    ]
    assert [line["inspection"] for line in answer["lines"]] == [2, 1]
    assert client.get(answer["lines"][1]["verdict"]).status_code == 200


@pytest.mark.parametrize(("kind", "place"), [("excursions", 0), ("excursions", 9), ("repeats", 0), ("repeats", 9)])
def test_a_source_that_is_not_there_is_not_found(kind: str, place: int, client: APIClient, hot_run: Run) -> None:
    assert problem_of(client.get(source(hot_run, kind, place)), 404)["code"] == "not_found"


@pytest.mark.parametrize("kind", ["excursions", "repeats"])
def test_others_and_runs_without_a_judgement_have_none(
    *, kind: str, client: APIClient, door: Door, stranger: Person, hot_run: Run, engine: Engine
) -> None:
    assert problem_of(door(stranger).get(source(hot_run, kind)), 404)["code"] == "not_found"
    bare: Any = RunFactory.create(engine=engine)
    assert problem_of(client.get(source(bare, kind)), 404)["code"] == "not_judged"

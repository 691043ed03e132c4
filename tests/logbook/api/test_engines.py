from typing import Any

import pytest

from engines.models import Engine
from inspections.models import Inspection
from logbook.models import Person
from tests.factories import EngineFactory
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, problem_of

ENGINES = f"{API}engines/"


def test_an_engine_shows_its_times_and_condition(door: Door, auditor: Person, engine: Engine) -> None:
    assert door(auditor).get(f"{ENGINES}{engine.pk}/").json() == {
        "id": engine.pk,
        "serial": "TB-0001",
        "engine_type": {"id": engine.engine_type_id, "name": engine.engine_type.name},
        "fitted_to": "test stand",
        "position": "",
        "overhauled_on": None,
        "left_at": None,
        "left_to": "",
        "condition": {"is_serviceable": True, "label": "Serviceable", "reasons": [], "open_count": 0},
        "times": {"run_time_s": 0, "time_in_service_s": 0, "starts": 0, "cycles": 0, "partial_cycles": 0, "other": {}},
    }


def test_an_open_inspection_makes_it_unserviceable_and_says_why(
    door: Door, auditor: Person, engine: Engine, hot_inspection: Inspection
) -> None:
    answer = door(auditor).get(f"{ENGINES}{engine.pk}/").json()
    assert answer["condition"]["label"] == "Unserviceable"
    assert answer["condition"]["reasons"] == [f"Inspection {hot_inspection.number} is open: Hot section inspection"]
    assert answer["times"]["run_time_s"] == 120


def test_the_list_is_paged_and_asks_the_database_no_more_for_more_engines(
    door: Door, auditor: Person, engine: Engine, django_assert_max_num_queries: Any
) -> None:
    for number in range(50):
        EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial=f"ZZ-{number}")
    client = door(auditor)
    with django_assert_max_num_queries(7):
        first = client.get(ENGINES).json()
    assert (first["count"], len(first["results"])) == (51, 50)
    second = client.get(first["next"]).json()
    assert (len(second["results"]), second["next"]) == (1, None)


@pytest.mark.parametrize(
    ("query", "serials"),
    [
        ("serial=0001", ["TB-0001"]),
        ("serial=x", []),
        ("engine_type={other}", ["ZZ-1"]),
        ("", ["TB-0001", "ZZ-1"]),
    ],
)
def test_the_list_is_narrowed(query: str, serials: list[str], door: Door, auditor: Person, engine: Engine) -> None:
    other = EngineFactory.create(operator=engine.operator, serial="ZZ-1")
    answer = door(auditor).get(f"{ENGINES}?{query.format(other=other.engine_type_id)}").json()
    assert [row["serial"] for row in answer["results"]] == serials


def test_a_filter_by_another_operators_type_tells_nothing(door: Door, stranger: Person, engine: Engine) -> None:
    known = problem_of(door(stranger).get(f"{ENGINES}?engine_type={engine.engine_type_id}"), 400)
    unknown = problem_of(door(stranger).get(f"{ENGINES}?engine_type=99999"), 400)
    assert known == unknown
    assert list(known["fields"]) == ["engine_type"]


def test_the_director_adds_an_engine(door: Door, director: Person, engine: Engine) -> None:
    body = {
        "engine_type": engine.engine_type_id,
        "serial": "TB-0002",
        "fitted_to": "shelf",
        "opening_run_time_s": 3600,
        "opening_starts": 4,
        "overhauled_on": "2026-01-05",
    }
    response = door(director).post(ENGINES, body, format="json")
    assert response.status_code == 201
    answer = response.json()
    assert answer["times"] == {
        "run_time_s": 3600,
        "time_in_service_s": 0,
        "starts": 4,
        "cycles": 0,
        "partial_cycles": 0,
        "other": {},
    }
    assert door(director).get(f"{ENGINES}{answer['id']}/").json() == answer


def test_a_serial_in_use_is_refused(door: Door, director: Person, engine: Engine) -> None:
    body = {"engine_type": engine.engine_type_id, "serial": "TB-0001"}
    assert problem_of(door(director).post(ENGINES, body, format="json"), 409)["code"] == "serial_taken"
    assert Engine.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"serial": ""}, "serial"),
        ({"serial": None}, "serial"),
        ({"engine_type": 99999}, "engine_type"),
        ({"engine_type": "x"}, "engine_type"),
        ({"opening_starts": -1}, "opening_starts"),
        ({"opening_starts": 2**31}, "opening_starts"),
        ({"opening_starts": 1.5}, "opening_starts"),
        ({"overhauled_on": "2026-02-30"}, "overhauled_on"),
        ({"run_time_s": 5}, "run_time_s"),
    ],
)
def test_a_wrong_engine_is_refused(
    changes: dict[str, Any], field: str, door: Door, director: Person, engine: Engine
) -> None:
    body = {"engine_type": engine.engine_type_id, "serial": "TB-0002"} | changes
    assert list(problem_of(door(director).post(ENGINES, body, format="json"), 400)["fields"]) == [field]
    assert Engine.objects.count() == 1


def test_another_operators_type_is_as_unknown_as_one_that_never_was(
    door: Door, stranger: Person, engine: Engine
) -> None:
    refused = [
        problem_of(door(stranger).post(ENGINES, {"engine_type": pk, "serial": "X"}, format="json"), 400)["fields"]
        for pk in (engine.engine_type_id, 99999)
    ]
    assert [r["engine_type"] for r in refused] == [
        f"There is no record with the id {engine.engine_type_id}.",
        "There is no record with the id 99999.",
    ]

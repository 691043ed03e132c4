import uuid
from typing import Any

import pytest
from django.db import IntegrityError
from rest_framework.test import APIClient

from engines.models import Engine, Reading, Run
from inspections.models import Inspection
from logbook.actions import run_enter
from logbook.models import Entry, Person, Unsigned
from tests.factories import EngineFactory, RunFactory
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import RUNS, problem_of, run_body

HOT = {"chart": "ITT, running", "peak": 770.0, "seconds": 3}


@pytest.fixture
def client(door: Door, mechanic: Person) -> APIClient:
    """Return the mechanic's client."""
    return door(mechanic)


def test_a_run_is_recorded_judged_and_entered(client: APIClient, engine: Engine, mechanic: Person) -> None:
    body = run_body(engine, remarks="after wash", cycles=1, meter_h=4312.6, readings=[HOT])
    response = client.post(RUNS, body, format="json")
    assert response.status_code == 201
    answer = response.json()
    assert answer["typed"] == {
        "run_time_s": 120,
        "time_in_service_s": None,
        "starts": 1,
        "cycles": 1,
        "partial_cycles": None,
        "meter_h": 4312.6,
        "starter_s": None,
    }
    assert (answer["run_time_s"], answer["time_in_service_s"], answer["starts"]) == (120, 0, 1)
    told = {"unit": "degC", "seconds": 3.0, "timed_seconds": None, "remarks": ""}
    assert answer["readings"] == [HOT | told | {"converted": None, "converted_unit": "", "converted_by": ""}]
    assert [(i["rule"], i["before_next_flight"]) for i in answer["inspections"]] == [("area B", True)]
    assert (answer["recorded_by"], answer["engine_serial"]) == (str(mechanic), "TB-0001")
    assert client.get(f"{RUNS}{body['id']}/").json() == answer
    assert client.get(answer["verdict"]).json()["excursions"][0]["evidence"] == "reading"
    assert (Unsigned.objects.get().run_id, Entry.objects.count()) == (uuid.UUID(body["id"]), 0)


def test_the_server_makes_an_id_where_none_is_sent(client: APIClient, engine: Engine) -> None:
    body = run_body(engine)
    del body["id"]
    answers = [client.post(RUNS, body, format="json") for _ in range(2)]
    assert [a.status_code for a in answers] == [201, 201]
    assert len({a.json()["id"] for a in answers}) == 2


def test_sending_again_changes_nothing_and_answers_the_same(client: APIClient, engine: Engine) -> None:
    body = run_body(engine, readings=[HOT])
    first = client.post(RUNS, body, format="json")
    again = [client.post(RUNS, body, format="json") for _ in range(2)]
    assert [a.status_code for a in again] == [200, 200]
    assert all(a.json() == first.json() for a in again)
    assert (Run.objects.count(), Reading.objects.count(), Inspection.objects.count()) == (1, 1, 1)
    assert Unsigned.objects.count() == 1


@pytest.mark.parametrize(
    "changes",
    [
        {"started_at": "2026-05-04T09:30:00+02:00"},
        {"id": "{upper}"},
        {"remarks": ""},
        {"readings": [], "cycles": None},
        {"started_at": "2026-05-04 07:30:00.000Z"},
    ],
)
def test_the_same_in_other_words_is_the_same(changes: dict[str, Any], client: APIClient, engine: Engine) -> None:
    body = run_body(engine)
    client.post(RUNS, body, format="json")
    other = body | {k: body["id"].upper() if v == "{upper}" else v for k, v in changes.items()}
    assert client.post(RUNS, other, format="json").status_code == 200


@pytest.mark.parametrize(
    "changes",
    [
        {"run_time_s": 121},
        {"run_time_s": None},
        {"kind": "flight"},
        {"remarks": "x"},
        {"started_at": "2026-05-04T07:30:01Z"},
        {"readings": [HOT]},
        {"engine": "{other}"},
    ],
)
def test_another_body_under_the_same_id_is_refused(changes: dict[str, Any], client: APIClient, engine: Engine) -> None:
    body = run_body(engine)
    client.post(RUNS, body, format="json")
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="ZZ-1")
    changed = body | {k: other.pk if v == "{other}" else v for k, v in changes.items()}
    refusal = problem_of(client.post(RUNS, changed, format="json"), 422)
    assert refusal["code"] == "id_used_with_other_body"
    assert Run.objects.count() == 1


def test_an_id_of_another_operator_tells_nothing(
    client: APIClient, door: Door, stranger: Person, engine: Engine
) -> None:
    body = run_body(engine)
    client.post(RUNS, body, format="json")
    theirs = EngineFactory.create(operator=stranger.operator)
    of_others = problem_of(door(stranger).post(RUNS, body | {"engine": theirs.pk}, format="json"), 422)
    client.post(RUNS, body, format="json")
    of_own = problem_of(client.post(RUNS, body | {"starts": 7}, format="json"), 422)
    assert of_others == of_own
    assert not Run.objects.filter(operator=stranger.operator_id).exists()


def test_a_run_recorded_on_the_screen_keeps_its_id(client: APIClient, engine: Engine) -> None:
    run = RunFactory.create(engine=engine, request_digest="")
    refusal = problem_of(client.post(RUNS, run_body(engine, id=str(run.pk)), format="json"), 422)
    assert refusal["code"] == "id_used_with_other_body"


def test_two_at_one_moment_are_one_run(client: APIClient, engine: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    """The other request stores the run between this one's look and its writing."""

    def late(**facts: Any) -> None:
        run_enter(**facts)
        raise IntegrityError("duplicate key")

    monkeypatch.setattr("logbook.recording.run_enter", late)
    assert client.post(RUNS, run_body(engine), format="json").status_code == 200
    assert Run.objects.count() == 1


def test_a_fault_of_the_database_is_not_taken_for_a_repeat(
    client: APIClient, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(**facts: Any) -> None:
        raise IntegrityError("another constraint")

    monkeypatch.setattr("logbook.recording.run_enter", broken)
    with pytest.raises(IntegrityError, match="another constraint"):
        client.post(RUNS, run_body(engine), format="json")


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"id": "not-a-uuid"}, "id"),
        ({"engine": 99999}, "engine"),
        ({"kind": "joyride"}, "kind"),
        ({"started_at": "2026-05-04T07:30:00"}, "started_at"),
        ({"started_at": "2026-13-04T07:30:00Z"}, "started_at"),
        ({"started_at": "yesterday"}, "started_at"),
        ({"started_at": 5}, "started_at"),
        ({"run_time_s": -1}, "run_time_s"),
        ({"run_time_s": 0.5}, "run_time_s"),
        ({"run_time_h": 0.5}, "run_time_h"),
        ({"readings": [HOT, HOT | {"peak": "nan"}]}, "readings[1].peak"),
        ({"readings": [HOT | {"peak": True}]}, "readings[0].peak"),
        ({"readings": [HOT | {"seconds": -1}]}, "readings[0].seconds"),
        ({"readings": [HOT | {"second": 1}]}, "readings[0].second"),
        ({"readings": [5]}, "readings[0]"),
        ({"readings": "hot"}, "readings"),
    ],
)
def test_a_wrong_body_is_refused_by_field(
    changes: dict[str, Any], field: str, client: APIClient, engine: Engine
) -> None:
    refusal = problem_of(client.post(RUNS, run_body(engine) | changes, format="json"), 400)
    assert (refusal["code"], list(refusal["fields"])) == ("invalid", [field])
    assert not Run.objects.exists()


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"started_at": "2099-05-04T07:30:00Z"}, "started_at"),
        ({"readings": [HOT | {"chart": "Nothing"}]}, "readings[0].chart"),
        ({"readings": [HOT | {"unit": "psi"}]}, "readings[0].unit"),
    ],
)
def test_what_cannot_be_is_refused_by_field(
    changes: dict[str, Any], field: str, client: APIClient, engine: Engine
) -> None:
    refusal = problem_of(client.post(RUNS, run_body(engine) | changes, format="json"), 422)
    assert (refusal["code"], list(refusal["fields"])) == ("run_impossible", [field])
    assert not Run.objects.exists()


@pytest.mark.parametrize(
    ("body", "code"),
    [
        ("{", "parse_error"),
        ("[1]", "invalid"),
        ('{"kind": NaN}', "parse_error"),
        ('{"kind": "\\u0000"}', "parse_error"),
        ('{"kind": "\\ud800"}', "parse_error"),
        ('{"\\ud800": [["x"]]}', "parse_error"),
        ("[" * 100_000 + "]" * 100_000, "parse_error"),
    ],
)
def test_what_is_no_json_to_keep_is_refused(body: str, code: str, client: APIClient) -> None:
    assert problem_of(client.post(RUNS, body, content_type="application/json"), 400)["code"] == code


def test_a_body_past_all_measure_is_refused(client: APIClient, settings: Any) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 10
    assert problem_of(client.post(RUNS, {"kind": "flight"}, format="json"), 413)["code"] == "too_large"


def test_another_operators_engine_is_unknown(door: Door, stranger: Person, engine: Engine) -> None:
    refusal = problem_of(door(stranger).post(RUNS, run_body(engine), format="json"), 400)
    assert list(refusal["fields"]) == ["engine"]


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("", 2),
        ("kind=flight", 1),
        ("engine={engine}", 1),
        ("from=2026-05-05", 1),
        ("to=2026-05-04", 1),
        ("from=2026-05-04&to=2026-05-06", 2),
        ("from=2026-05-07", 0),
    ],
)
def test_the_list_is_narrowed(query: str, found: int, client: APIClient, engine: Engine) -> None:
    client.post(RUNS, run_body(engine), format="json")
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="ZZ-1")
    client.post(RUNS, run_body(other, kind="flight", started_at="2026-05-06T12:00:00Z"), format="json")
    assert client.get(f"{RUNS}?{query.format(engine=engine.pk)}").json()["count"] == found


def test_a_run_that_was_never_judged_has_no_verdict(client: APIClient, engine: Engine) -> None:
    run = RunFactory.create(engine=engine)
    assert problem_of(client.get(f"{RUNS}{run.pk}/verdict/"), 404)["code"] == "not_judged"


def test_an_id_that_no_run_has_is_not_found(client: APIClient) -> None:
    assert problem_of(client.get(f"{RUNS}{uuid.uuid4()}/"), 404)["code"] == "not_found"

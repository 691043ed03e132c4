"""What is unlikely is asked about by REST as on the sheet, and taken with a reason."""

import uuid
from typing import Any

import pytest
from rest_framework.test import APIClient

from engines.models import Engine, Run, TypedReason
from logbook.models import Concern, Person
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import RUNS, problem_of, run_body

FAR = {"chart": "ITT, running", "peak": 7700.0, "seconds": 3}


@pytest.fixture
def client(door: Door, mechanic: Person) -> APIClient:
    """Return the mechanic's client."""
    return door(mechanic)


def answered(body: dict[str, Any], refusal: dict[str, Any], reason: str = "Read twice") -> dict[str, Any]:
    """Return a body with a reason for everything that was asked."""
    reasons = [{"field": f, "question": question, "reason": reason} for f, question in refusal["fields"].items()]
    return body | {"reasons": reasons}


@pytest.mark.parametrize(
    ("changes", "field", "about", "value", "words"),
    [
        ({"run_time_s": 20_000}, "run_time_s", "Run time", "5.56 h", "5.56 h is long for one run."),
        ({"time_in_service_s": 3600}, "time_in_service_s", "Time in service", "1.00 h", "1.00 h in service is more"),
        ({"starts": 6}, "starts", "Starts", "6", "6 starts are many"),
        ({"cycles": 2}, "cycles", "Cycles", "2", "More cycles than starts: 2 and 1."),
        ({"readings": [FAR]}, "readings[0].peak", "ITT, running, reading", "7700 °C", "7700 °C is far from the limit"),
        (
            {"readings": [FAR | {"peak": 710.0, "seconds": 600}]},
            "readings[0].seconds",
            "ITT, running, seconds",
            "600 s",
            "600 s is longer than the whole run",
        ),
    ],
)
def test_an_unlikely_figure_needs_a_reason(
    *, changes: dict[str, Any], field: str, about: str, value: str, words: str, client: APIClient, engine: Engine
) -> None:
    body = run_body(engine, **changes)
    refusal = problem_of(client.post(RUNS, body, format="json"), 422)
    assert (refusal["code"], list(refusal["fields"])) == ("reason_needed", [field])
    assert refusal["fields"][field].startswith(words)
    assert not Run.objects.exists()
    response = client.post(RUNS, answered(body, refusal), format="json")
    assert response.status_code == 201, response.content
    question = refusal["fields"][field]
    kept = {"field": about, "value": value, "question": question, "reason": "Read twice"}
    assert response.json()["reasons"] == [kept]
    assert list(TypedReason.objects.values("field", "value", "question", "reason")) == [kept]
    assert Concern.objects.filter(kind=Concern.Kind.REASON, run=body["id"], reason="Read twice").count() == 1


def test_the_meter_is_held_against_the_last_one_and_the_run_timer(client: APIClient, engine: Engine) -> None:
    earlier = run_body(engine, started_at="2026-05-03T07:30:00Z", meter_h=4312.6)
    assert client.post(RUNS, earlier, format="json").status_code == 201
    body = run_body(engine, run_time_s=3600, meter_h=4331.6)
    question = problem_of(client.post(RUNS, body, format="json"), 422)["fields"]["meter_h"]
    assert question.startswith("The meter and the run time disagree: 4331.6 h is 19.0 h more than 4312.6 h")
    assert question.endswith("Did you mean 4313.6?")
    assert client.post(RUNS, body | {"meter_h": 4313.6}, format="json").status_code == 201


def test_sending_it_again_with_its_reason_changes_nothing(client: APIClient, engine: Engine) -> None:
    body = run_body(engine, starts=6)
    with_reason = answered(body, problem_of(client.post(RUNS, body, format="json"), 422))
    first, again = (client.post(RUNS, with_reason, format="json") for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 200)
    assert again.json() == first.json()
    assert TypedReason.objects.count() == 1
    for other in (body, answered(body, {"fields": {"starts": "6"}})):
        assert problem_of(client.post(RUNS, other, format="json"), 422)["code"] == "id_used_with_other_body"


def test_what_is_recorded_is_not_asked_about_again(client: APIClient, engine: Engine) -> None:
    body = run_body(engine, meter_h=4312.6)
    assert client.post(RUNS, body, format="json").status_code == 201
    earlier = run_body(engine, started_at="2026-05-03T07:30:00Z", meter_h=4399.9)
    assert client.post(RUNS, earlier, format="json").status_code == 201
    assert client.post(RUNS, body, format="json").status_code == 200


@pytest.mark.parametrize("change", [{"question": "6 starts?"}, {"field": "cycles"}])
def test_a_reason_for_something_else_answers_nothing(change: dict[str, str], client: APIClient, engine: Engine) -> None:
    body = run_body(engine, starts=6)
    sent = answered(body, problem_of(client.post(RUNS, body, format="json"), 422))
    sent["reasons"][0] |= change
    assert problem_of(client.post(RUNS, sent, format="json"), 422)["code"] == "reason_needed"
    assert not Run.objects.exists()


def test_a_reason_where_nothing_is_asked_is_not_kept(client: APIClient, engine: Engine) -> None:
    sent = answered(run_body(engine), {"fields": {"starts": "6 starts are many"}})
    assert client.post(RUNS, sent, format="json").json()["reasons"] == []


def test_the_impossible_is_refused_before_anything_is_asked(client: APIClient, engine: Engine) -> None:
    body = run_body(engine, id=str(uuid.uuid4()), starts=6, started_at="2099-05-04T07:30:00Z")
    assert problem_of(client.post(RUNS, body, format="json"), 422)["code"] == "run_impossible"


@pytest.mark.parametrize("reason", [{"reason": ""}, {"reason": "x" * 241}, {"question": None}, {"why": "x"}])
def test_a_reason_of_another_shape_is_refused(reason: dict[str, Any], client: APIClient, engine: Engine) -> None:
    body = run_body(engine, starts=6)
    sent = body | {"reasons": [{"field": "starts", "question": "?", "reason": "Read twice"} | reason]}
    refusal = problem_of(client.post(RUNS, sent, format="json"), 400)
    assert list(refusal["fields"])[0].startswith("reasons[0].")

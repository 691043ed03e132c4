from typing import Any

import pytest
from rest_framework.test import APIClient

from engines.actions import LimitFacts, limit_add
from engines.models import Component, Engine
from logbook.models import Entry, PartDraft, Person
from logbook.part_acts import CONFIRMS
from logbook.part_drafts.keeping import draft_sign
from logbook.signing import PASSWORD, Signing
from tests.factories import ComponentFactory
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, RUNS, problem_of, run_body

COMPONENTS = f"{API}components/"
BODY = {"part_number": "TB-200", "serial": "F-1", "brought_run_time_s": 600, "brought_starts": 2}
BODY |= {"opening_basis": "Log card 7"}
BEFORE, AFTER = "2026-05-01T00:00:00Z", "2026-05-10T00:00:00Z"


@pytest.fixture
def client(door: Door, mechanic: Person) -> APIClient:
    """Return the mechanic's client."""
    return door(mechanic)


@pytest.fixture
def address(client: APIClient, mechanic: Person) -> str:
    """Return where a component is, its opening balance signed."""
    return f"{COMPONENTS}{signed(client.post(COMPONENTS, BODY, format='json'), mechanic).pk}/"


def signed(answer: Any, by: Person) -> Component:
    """Sign the draft that an answer tells of, and return its component."""
    assert answer.status_code == 201, answer.content
    draft = PartDraft.objects.get(pk=answer.json()["id"])
    draft_sign(draft=draft, by=by, signing=Signing(PASSWORD, CONFIRMS))
    return draft.component or Component.objects.latest("pk")


def test_a_component_is_there_once_its_opening_balance_is_signed(client: APIClient, mechanic: Person) -> None:
    answer = client.post(COMPONENTS, BODY, format="json")
    assert (answer.status_code, answer.json()["state"], Component.objects.count()) == (201, "open", 0)
    component = signed(answer, mechanic)
    shown = client.get(f"{COMPONENTS}{component.pk}/").json()
    used = {"run_time_s": 600, "time_in_service_s": 0, "starts": 2, "cycles": 0, "partial_cycles": 0, "other": {}}
    assert shown["times"] == used
    assert (shown["fitted_to"], shown["movements"], shown["done"], shown["unsigned"]) == (None, [], [], [])
    assert Entry.objects.get(component=component).kind == "opening"


def test_times_follow_the_engine_once_what_was_fitted_is_signed(
    client: APIClient, address: str, engine: Engine, mechanic: Person
) -> None:
    """Of by hand: 600 s and 2 starts brought, 120 s and 1 start while it was fitted; nothing of the run after."""
    fitted = client.post(f"{address}fit/", {"engine": engine.pk, "position": "1", "at": BEFORE}, format="json")
    client.post(RUNS, run_body(engine), format="json")
    removed = client.post(f"{address}remove/", {"at": AFTER}, format="json")
    client.post(RUNS, run_body(engine, started_at="2026-05-11T00:00:00Z"), format="json")
    waiting = client.get(address).json()
    assert (waiting["fitted_to"], waiting["times"]["run_time_s"], waiting["movements"]) == (None, 600, [])
    assert waiting["unsigned"] == [fitted.json()["id"], removed.json()["id"]]
    signed(fitted, mechanic)
    assert client.get(address).json()["fitted_to"] == engine.pk
    signed(removed, mechanic)
    shown = client.get(address).json()
    assert (shown["fitted_to"], shown["times"]["run_time_s"], shown["times"]["starts"]) == (None, 720, 3)
    assert [(m["kind"], m["engine_serial"], m["position"]) for m in shown["movements"]] == [
        ("fitted", "TB-0001", "1"),
        ("removed", "TB-0001", "1"),
    ]


def test_what_does_not_follow_is_refused(client: APIClient, address: str, engine: Engine, mechanic: Person) -> None:
    assert problem_of(client.post(f"{address}remove/", {"at": AFTER}, format="json"), 409)["code"] == "not_fitted"
    fit = {"engine": engine.pk, "at": AFTER}
    first = client.post(f"{address}fit/", fit, format="json")
    assert problem_of(client.post(f"{address}fit/", fit, format="json"), 409)["code"] == "already_fitted"
    signed(first, mechanic)
    assert problem_of(client.post(f"{address}fit/", fit, format="json"), 409)["code"] == "already_fitted"
    assert problem_of(client.post(f"{address}remove/", {"at": BEFORE}, format="json"), 422)["code"] == "out_of_order"


def test_a_serial_in_use_is_refused(client: APIClient, address: str) -> None:
    assert problem_of(client.post(COMPONENTS, BODY, format="json"), 409)["code"] == "serial_taken"


@pytest.mark.parametrize(
    ("path", "changes", "field"),
    [
        ("", {"serial": ""}, "serial"),
        ("", {"brought_cycles": -1}, "brought_cycles"),
        ("", {"hours": 1}, "hours"),
        ("fit/", {"engine": 99999}, "engine"),
        ("fit/", {"at": "2026-05-01"}, "at"),
        ("fit/", {"at": "2026-05-01T00:00:00"}, "at"),
        ("remove/", {"at": None}, "at"),
    ],
)
def test_a_wrong_body_is_refused(
    *, path: str, changes: dict[str, Any], field: str, client: APIClient, address: str, engine: Engine
) -> None:
    whole: dict[str, dict[str, Any]] = {
        "": BODY | {"serial": "F-2"},
        "fit/": {"engine": engine.pk, "at": BEFORE},
        "remove/": {"at": AFTER},
    }
    where = address + path if path else COMPONENTS
    refusal = problem_of(client.post(where, whole[path] | changes, format="json"), 400)
    assert list(refusal["fields"]) == [field]


def test_another_operators_component_is_not_found(client: APIClient, stranger: Person, engine: Engine) -> None:
    theirs = f"{COMPONENTS}{ComponentFactory.create(operator=stranger.operator).pk}/"
    bodies = {"fit/": {"engine": engine.pk, "at": BEFORE}, "remove/": {"at": AFTER}}
    problem_of(client.get(theirs), 404)
    for path, body in bodies.items():
        assert problem_of(client.post(theirs + path, body, format="json"), 404)["code"] == "not_found"


@pytest.mark.parametrize(("query", "found"), [("", 2), ("part_number=tb-2", 1), ("serial=f-", 1), ("serial=zz", 0)])
def test_the_list_is_narrowed(query: str, found: int, client: APIClient, address: str, mechanic: Person) -> None:
    ComponentFactory.create(operator=mechanic.operator, part_number="TB-100", serial="P-1")
    assert client.get(f"{COMPONENTS}?{query}").json()["count"] == found
    assert Component.objects.count() == 2


def test_a_component_tells_what_is_left_and_sits_within_another(
    client: APIClient, address: str, engine: Engine, mechanic: Person
) -> None:
    module: Component = ComponentFactory.create(operator=engine.operator)
    facts = LimitFacts(5, "count", "Invented chapter 5", "3", tolerance=1)
    told = {"operator": engine.operator, "part_number": BODY["part_number"], "kind": "life", "parameter": "starts"}
    limit_add(**told, facts=facts, by=mechanic)
    signed(client.post(f"{address}fit/", {"parent": module.pk, "at": BEFORE}, format="json"), mechanic)
    fitted = client.get(address).json()
    assert (fitted["fitted_to"], fitted["fitted_in"]) == (None, module.pk)
    (limit,) = fitted["limits"]
    assert (limit["used"], limit["remaining"], limit["state"], limit["source_revision"]) == (2, 3, "within", "3")
    assert problem_of(client.post(f"{address}remove/", {"at": AFTER}, format="json"), 422)["code"] == "control_needed"
    signed(client.post(f"{address}remove/", {"at": AFTER, "control": "2"}, format="json"), mechanic)
    line = client.get(address).json()["movements"][1]
    assert (line["parent"], line["control"], line["life"]["used"]["starts"], line["struck"]) == (
        module.pk,
        "2",
        2,
        None,
    )

import pytest

from engines.models import Engine, Run
from inspections.models import Inspection
from logbook.models import Person
from tests.documents import type_document
from tests.factories import PersonFactory
from tests.logbook.api.conftest import Door
from tests.logbook.api.kit import API, problem_of

WORKERS = {"mechanic", "inspector", "director"}
SECONDS = {"inspector", "director"}


# Everything that changes something, and whose role lets them; {keys} are filled from one operator's records.
@pytest.mark.parametrize(
    ("path", "allowed"),
    [
        ("engine-types/", SECONDS),
        ("engine-types/{type}/revisions/", SECONDS),
        ("engine-types/{type}/revisions/1/adopt/", SECONDS),
        ("engines/", {"director"}),
        ("runs/", WORKERS),
        ("runs/{run}/trace/", WORKERS),
        ("inspections/{inspection}/begin/", WORKERS),
        ("inspections/{inspection}/steps/1/answer/", WORKERS),
        ("inspections/{inspection}/findings/", WORKERS),
        ("inspections/{inspection}/actions/", WORKERS),
        ("inspections/{inspection}/cause/", WORKERS),
        ("inspections/{inspection}/second/", SECONDS),
        ("components/", WORKERS),
        ("components/1/fit/", WORKERS),
        ("components/1/remove/", WORKERS),
    ],
)
@pytest.mark.parametrize("role", ["mechanic", "inspector", "director", "auditor"])
def test_a_role_may_do_what_the_table_says(
    path: str, allowed: set[str], role: str, door: Door, hot_inspection: Inspection
) -> None:
    """An empty body is wrong for most, so that all but a refusal of the role counts as let in."""
    person = PersonFactory.create(operator=hot_inspection.operator, role=role)
    keys = {
        "type": hot_inspection.engine.engine_type_id,
        "run": hot_inspection.run_id,
        "inspection": hot_inspection.pk,
    }
    response = door(person).post(API + path.format(**keys), {}, format="json" if "trace" not in path else "multipart")
    if role in allowed:
        assert response.status_code != 403
    else:
        assert problem_of(response, 403)["code"] == "role_may_not"


@pytest.mark.parametrize("noun", ["engine-types", "engines", "runs", "inspections", "components", "entries"])
def test_whoever_has_no_operator_may_not_even_read(noun: str, door: Door, db: None) -> None:
    nobody = PersonFactory.create(operator=None, role="director", is_superuser=True)
    assert problem_of(door(nobody).get(f"{API}{noun}/"), 403)["code"] == "role_may_not"


def test_an_auditor_reads_everything(door: Door, auditor: Person, hot_run: Run, engine: Engine) -> None:
    for path in ["engine-types/", "engines/", "runs/", "inspections/", "components/", "entries/"]:
        assert door(auditor).get(API + path).status_code == 200
    assert door(auditor).get(f"{API}runs/{hot_run.pk}/verdict/").status_code == 200
    assert door(auditor).get(f"{API}runs/{hot_run.pk}/trace/").status_code == 200


@pytest.mark.parametrize("noun", ["engine-types", "engines", "runs", "inspections", "components", "entries"])
def test_lists_hold_nothing_of_another_operator(
    noun: str, door: Door, stranger: Person, hot_run: Run, engine: Engine
) -> None:
    assert door(stranger).get(f"{API}{noun}/").json()["results"] == []


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("get", "engine-types/{type}/"),
        ("get", "engine-types/{type}/revisions/"),
        ("get", "engine-types/{type}/revisions/1/replay/"),
        ("post", "engine-types/{type}/revisions/"),
        ("post", "engine-types/{type}/revisions/1/adopt/"),
        ("get", "engines/{engine}/"),
        ("get", "runs/{run}/"),
        ("get", "runs/{run}/verdict/"),
        ("get", "runs/{run}/trace/"),
        ("post", "runs/{run}/trace/"),
        ("get", "inspections/{inspection}/"),
        ("post", "inspections/{inspection}/begin/"),
        ("post", "inspections/{inspection}/steps/1/answer/"),
        ("post", "inspections/{inspection}/findings/"),
        ("post", "inspections/{inspection}/actions/"),
        ("post", "inspections/{inspection}/cause/"),
        ("post", "inspections/{inspection}/second/"),
        ("get", "entries/1/"),
        ("get", "entries/1/print/"),
    ],
)
def test_a_stranger_finds_nothing_of_another_operator(
    method: str, path: str, door: Door, stranger: Person, hot_inspection: Inspection
) -> None:
    keys = {
        "type": hot_inspection.engine.engine_type_id,
        "engine": hot_inspection.engine_id,
        "run": hot_inspection.run_id,
        "inspection": hot_inspection.pk,
    }
    bodies = {"revisions/": {"document": type_document(), "source": "s", "in_force_from": "2026-06-01"}}
    sent = {"format": "multipart" if "trace" in path else "json"} if method == "post" else {}
    body = next((b for end, b in bodies.items() if path.endswith(end) and method == "post"), {})
    response = getattr(door(stranger), method)(API + path.format(**keys), body, **sent)
    assert problem_of(response, 404)["code"] == "not_found"

import re
from typing import Any

import pytest
from django.core.management import call_command
from django.urls import get_resolver
from rest_framework.test import APIClient

from tests.logbook.api.kit import API

# Every operation that the door has; a new one is written down here, and one that goes missing is missed.
OPERATIONS = {
    "components/": "get post",
    "components/{id}/": "get",
    "components/bulk/": "post",
    "components/bulk/preview/": "post",
    "components/{component}/limits/": "get post",
    "components/{component}/limits/{id}/done/": "post",
    "components/{component}/limits/{id}/replace/": "post",
    "components/{id}/fit/": "post",
    "components/{id}/move/": "post",
    "components/{id}/remove/": "post",
    "components/{id}/send/": "post",
    "components/{id}/return/": "post",
    "components/{id}/strike/": "post",
    "discrepancies/": "get",
    "due/": "get",
    "engine-types/": "get post",
    "engine-types/{id}/": "get",
    "engine-types/{id}/revisions/": "get post",
    "engine-types/{id}/revisions/{number}/adopt/": "post",
    "engine-types/{id}/revisions/{number}/replay/": "get",
    "engines/": "get post",
    "engines/{id}/": "get",
    "engines/{id}/start-checks/": "get post",
    "engines/{id}/first-starts/": "get post",
    "engines/{id}/programme/": "get",
    "first-starts/{id}/steps/": "post",
    "engines/{id}/start-drift/": "get",
    "engines/{id}/advisory/": "get",
    "engines/{id}/power/": "get post",
    "engines/{id}/trend/": "get",
    "engines/{id}/calibrations/": "get",
    "engines/{id}/tasks/": "get post",
    "engines/{id}/tasks/{key}/records/": "get",
    "entries/": "get",
    "entries/{number}/": "get",
    "entries/{number}/print/": "get",
    "inspections/": "get",
    "inspections/{id}/": "get",
    "inspections/{id}/actions/": "post",
    "inspections/{id}/begin/": "post",
    "inspections/{id}/cause/": "post",
    "inspections/{id}/findings/": "post",
    "inspections/{id}/notes/": "post",
    "inspections/{id}/second/": "post",
    "inspections/{id}/steps/{position}/answer/": "post",
    "part-drafts/": "get",
    "part-drafts/{id}/": "get",
    "part-drafts/{id}/drop/": "post",
    "photos/": "get post",
    "photos/{id}/": "get",
    "photos/{id}/file/": "get",
    "photos/{id}/preview/": "get",
    "runs/": "get post",
    "runs/{id}/advisory/": "get",
    "runs/{id}/power/": "get post",
    "runs/{id}/": "get",
    "runs/{id}/excursions/{place}/source/": "get",
    "runs/{id}/repeats/{place}/source/": "get",
    "runs/{id}/trace/": "get post",
    "runs/{id}/starts/": "get",
    "runs/{id}/verdict/": "get",
    "work/": "get post",
    "work/{id}/": "get put",
}


@pytest.fixture
def schema() -> Any:
    """Return the schema as the door gives it."""
    response = APIClient().get(f"{API}schema/", HTTP_ACCEPT="application/vnd.oai.openapi+json")
    assert response.status_code == 200
    return response.json()


def test_the_schema_is_valid_and_says_everything() -> None:
    call_command("spectacular", "--validate", "--fail-on-warn", "--file", "/dev/null")


def test_the_schema_has_every_operation(schema: Any) -> None:
    found = {path.removeprefix(API): " ".join(sorted(methods)) for path, methods in schema["paths"].items()}
    assert found == OPERATIONS


def test_every_operation_says_how_it_refuses_and_who_may_ask(schema: Any) -> None:
    operations = [operation for methods in schema["paths"].values() for operation in methods.values()]
    for operation in operations:
        content = operation["responses"]["default"]["content"]
        assert content["application/problem+json"]["schema"]["$ref"] == "#/components/schemas/Problem"
        assert operation["security"] == [{"bearer": []}, {"cookieAuth": []}]
        assert operation["summary"]
    assert set(schema["components"]["schemas"]["Problem"]["required"]) == {"type", "title", "status", "detail", "code"}


def test_lists_say_what_narrows_them(schema: Any) -> None:
    named = {p["name"] for p in schema["paths"][f"{API}entries/"]["get"]["parameters"]}
    assert named == {"engine", "from", "kind", "number", "page", "person", "serial", "state", "to", "words"}


def test_the_page_asks_nobody_else() -> None:
    page = APIClient().get(f"{API}docs/", HTTP_ACCEPT="text/html")
    assert page.status_code == 200
    html = page.content.decode()
    addresses = re.findall(r'(?:src|href)="([^"]+)"', html)
    assert len(addresses) == 5
    assert all(address.startswith(("/static/", f"{API}docs/")) for address in addresses)
    assert re.findall(r"<script>\s*\S", html) == []


def test_the_script_of_the_page_asks_nobody_else() -> None:
    script = APIClient().get(f"{API}docs/?script=")
    assert script["Content-Type"].startswith("application/javascript")
    text = script.content.decode()
    assert '"validatorUrl": "none"' in text
    assert f'"{API}schema/"' in text
    assert "//" not in re.sub(r"(?m)^\s*//.*$", "", text)


def test_the_door_has_its_place_in_the_site_map() -> None:
    assert get_resolver().resolve(f"{API}engines/").view_name == "api:engine-list"

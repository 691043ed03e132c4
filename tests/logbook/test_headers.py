"""What every page tells the browser: no script and no style but ours, in nobody's frame, and never guessed at."""

import re
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from logbook.models import Person
from tests.built import Things, built_once, own
from tests.cast import director_stored, engine_stored, mechanic_stored, operator_stored
from tests.layers import ROOT
from tests.logbook.screen_kit import inspection_opened, signed_in

pytestmark = pytest.mark.one_database

POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data:",
    "connect-src": "'self'",
    "manifest-src": "'self'",
    "worker-src": "'self'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
    "base-uri": "'none'",
}
PAGES = (
    "/sign-in/",
    "/engines/",
    "/engines/{engine}/",
    "/engines/{engine}/record/",
    "/runs/{run}/",
    "/runs/{run}/trace/",
    "/inspections/",
    "/inspections/{inspection}/",
    "/inspections/{inspection}/sign/",
    "/entries/",
    "/entries/1/",
    "/entries/1/print.pdf",
    "/limits/",
    "/limits/{revision}/",
    "/limits/types/{type}/enter/",
    "/my-access/",
    "/my-access/tokens/",
    "/my-access/password/",
    "/my-access/confirm/",
    "/sign-in/closed/",
    "/nowhere/",
    "/api/v1/engines/",
    "/api/v1/nowhere/",
    "/admin/",
)
# A script element that holds data and is never run.
DATA = re.compile(r'type="application/json"')
SCRIPT = re.compile(r"<script\b([^>]*)>(.*?)</script>", re.S)
HANDLER = re.compile(r"<[^>]*\son[a-z]+\s*=", re.S)
STYLE = re.compile(r"<style\b|<[^>]*\sstyle\s*=", re.S)
TEMPLATES = sorted((ROOT / "templates").rglob("*.html")) + sorted((ROOT / "templates").rglob("*.svg"))


def policy_of(response: Any) -> dict[str, str]:
    """Return the parts of a response's content security policy."""
    parts = (part.strip().partition(" ") for part in response["Content-Security-Policy"].split(";"))
    return {name: sources for name, _, sources in parts}


def faults(page: str) -> list[str]:
    """Return what a page holds that the policy would stop."""
    inline = [body for kind, body in SCRIPT.findall(page) if "src=" not in kind and not DATA.search(kind)]
    scripts = [f"script: {body[:60]}" for body in inline]
    return scripts + HANDLER.findall(page) + STYLE.findall(page)


def inspection_stored() -> Things:
    """Store an engine with an inspection, and return it with what fills the addresses."""
    operator = operator_stored()
    engine = engine_stored(operator)
    inspection = inspection_opened(engine, mechanic_stored(operator))
    keys = {
        "engine": engine.pk,
        "run": inspection.run_id,
        "inspection": inspection.pk,
        "revision": inspection.revision_id,
        "type": engine.engine_type_id,
    }
    return {"director": director_stored(operator), "keys": keys}


built = built_once(inspection_stored)
director, keys = map(own, ("director", "keys"))


@pytest.mark.parametrize("address", PAGES)
@pytest.mark.parametrize("somebody", [True, False])
def test_every_answer_carries_the_headers(
    address: str, somebody: bool, client: Client, keys: dict[str, Any], director: Person
) -> None:
    if somebody:
        signed_in(client, director)
    response = client.get(address.format(**keys))
    assert policy_of(response) == POLICY
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["X-Frame-Options"] == "DENY"
    assert response["Referrer-Policy"] == "same-origin"
    assert response["Cross-Origin-Opener-Policy"] == "same-origin"
    if response["Content-Type"].startswith("text/html"):
        assert faults(response.content.decode()) == []


@pytest.mark.django_db
def test_only_the_page_to_browse_rest_by_may_style_from_its_script(client: Client) -> None:
    response = client.get("/api/v1/docs/")
    assert policy_of(response) == {**POLICY, "style-src": "'self' 'unsafe-inline'"}
    assert policy_of(client.get("/api/v1/schema/")) == POLICY


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT / "templates")))
def test_no_template_holds_script_style_or_handlers(path: Path) -> None:
    assert faults(path.read_text(encoding="utf8")) == []


@pytest.mark.parametrize(
    "page",
    [
        "<script>go()</script>",
        '<script type="module">go()</script>',
        '<p onclick="go()">',
        "<p class='a'\n onload = 'go()'>",
        '<p style="color: red">',
        "<style>p {}</style>",
    ],
)
def test_what_the_policy_stops_is_found(page: str) -> None:
    assert faults(page)


@pytest.mark.parametrize(
    "page", ['<script src="a.js"></script>', '<script type="application/json">{"a": 1}</script>', "<p>one = two</p>"]
)
def test_what_the_policy_lets_through_is_not(page: str) -> None:
    assert faults(page) == []

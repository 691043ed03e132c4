"""A year of an engine's starts: the picture, the same facts as a table, and both on paper."""

import io
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from engines.evidence import RunFacts
from engines.models import Engine, Run
from logbook.actions import run_enter, trace_enter
from logbook.models import Person
from tests.factories import STARTED_AT, EngineFactory
from tests.logbook.screen_kit import recording_csv, signed_in, words

LAST = "2026-06-30"


@pytest.fixture
def starts(engine: Engine, mechanic: Person) -> Engine:
    """Return an engine with two recorded starts, one written down, and one of more than a year before."""
    for days in (0, 20, -400):
        run = entered(engine, mechanic, days)
        trace_enter(run=run, file=io.BytesIO(recording_csv()), name="run.csv", by=mechanic)
    entered(engine, mechanic, 3, typed_starts=2)
    return engine


def entered(engine: Engine, by: Person, days: int, **changes: Any) -> Run:
    facts = RunFacts(id=Run().pk, kind="ground_run", started_at=STARTED_AT + timedelta(days=days), **changes)
    return run_enter(engine=engine, facts=facts, by=by)


def test_the_year_is_a_picture_and_a_table(
    client: Client, starts: Engine, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    signed_in(client, auditor)
    with django_assert_max_num_queries(10):
        response = client.get(reverse("engine_starts", args=[starts.pk]), {"to": LAST})
    page, markup = words(response), response.content.decode()
    assert "2 starts: 2 started. None went beyond the limit of 800 °C (ITT, starting)." in page
    assert "2026-05-24 07:30 started 600 °C 200 °C short of the limit" in page
    assert "2 of 2 shown." in page
    assert "2 starts written down without a recorded trace cannot be shown." in page
    assert markup.count('<svg xmlns="http://www.w3.org/2000/svg" class="picture"') == 2
    assert "ITT, starting, invented for the tests, page 1" in page
    before = words(client.get(reverse("engine_starts", args=[starts.pk]), {"to": "2025-06-30"}))
    assert "1 start: 1 started." in before


def test_a_year_without_starts_says_so(client: Client, engine: Engine, auditor: Person) -> None:
    response = signed_in(client, auditor).get(reverse("engine_starts", args=[engine.pk]))
    page, markup = words(response), response.content.decode()
    assert page.count("No start was recorded in these twelve months.") == 1
    assert "There is no picture of it. The limit in force on" in page
    assert '<figure class="drawing">' not in markup
    assert "<table" not in markup
    response = client.get(reverse("starts_print", args=[engine.pk]))
    printed = PdfReader(io.BytesIO(response.content)).pages[0].extract_text()
    assert "No start was recorded in these twelve months." in printed
    assert "The same facts" not in printed


@pytest.mark.parametrize(("paper", "width"), [("a4", 595), ("letter", 612)])
def test_the_year_prints(paper: str, width: int, client: Client, starts: Engine, auditor: Person) -> None:
    response = signed_in(client, auditor).get(reverse("starts_print", args=[starts.pk]), {"paper": paper, "to": LAST})
    assert response["Content-Type"] == "application/pdf"
    pages = PdfReader(io.BytesIO(response.content)).pages
    text = " ".join(" ".join(page.extract_text().split()) for page in pages)
    assert round(float(pages[0].mediabox.width)) == width
    for said in ("A year of starts", "Limit 800 °C", "200 °C short of the limit", "2026-05-24 07:30", "TB-0001"):
        assert said in text


@pytest.mark.parametrize("name", ["engine_starts", "starts_print"])
@pytest.mark.parametrize("query", ["to=today", "to=2026-02-30", "to=0001-01-01", "to=9999-12-31"])
def test_a_day_that_is_none_is_not_there(
    name: str, query: str, client: Client, engine: Engine, auditor: Person
) -> None:
    assert signed_in(client, auditor).get(f"{reverse(name, args=[engine.pk])}?{query}").status_code == 404


def test_a_type_that_says_nothing_of_starts_has_no_picture(client: Client, engine: Engine, auditor: Person) -> None:
    revision = engine.engine_type.revisions.get()
    del revision.document["segmentation"]
    revision.document["charts"] = revision.document["charts"][1:2]
    del revision.document["charts"][0]["regimes"]
    revision.save()
    page = words(signed_in(client, auditor).get(reverse("engine_starts", args=[engine.pk])))
    assert "does not say how a start is recognised" in page
    assert client.get(reverse("starts_print", args=[engine.pk])).status_code == 404


def test_a_type_without_a_starting_limit_shows_the_starts_alone(
    client: Client, starts: Engine, auditor: Person
) -> None:
    revision = starts.engine_type.revisions.get()
    revision.document["charts"] = revision.document["charts"][1:]
    revision.save()
    page = words(signed_in(client, auditor).get(reverse("engine_starts", args=[starts.pk]), {"to": LAST}))
    assert "600 °C no starting limit in force" in page
    assert "No starting limit is in force." in page
    response = client.get(reverse("starts_print", args=[starts.pk]), {"to": LAST})
    assert "none in force" in PdfReader(io.BytesIO(response.content)).pages[0].extract_text()


def test_another_engines_starts_are_not_among_them(client: Client, starts: Engine, auditor: Person) -> None:
    other = EngineFactory.create(operator=starts.operator, engine_type=starts.engine_type, serial="ZZ-2")
    page = words(signed_in(client, auditor).get(reverse("engine_starts", args=[other.pk]), {"to": LAST}))
    assert "No start was recorded" in page

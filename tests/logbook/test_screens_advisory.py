"""The operator's own limits on screens, on paper and by REST: told apart from the maker's, counted, opening nothing."""

import io
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.actions import run_void
from engines.evidence import ReadingFacts, RunFacts
from engines.models import Engine, Run
from inspections.models import Inspection
from inspections.queries import condition_of, judgement_of
from logbook.actions import run_enter, trace_enter
from logbook.models import Person
from logbook.shown_units import units_choose
from tests.factories import STARTED_AT
from tests.logbook.printing.reading import pages_of
from tests.logbook.screen_kit import recording_csv, signed_in, words

OWN = [{"name": "House ITT", "chart": "ITT, running", "limit": 650, "reason": "Kinder to the blades"}]


@pytest.fixture
def own(engine: Engine) -> Engine:
    """Return an engine that has a limit of its operator's own."""
    revision = engine.engine_type.revisions.get()
    revision.document = revision.document | {"advisory": OWN}
    revision.save(update_fields=["document"])
    return engine


def recorded(engine: Engine, by: Person, peak: float, days: int = 0) -> Run:
    facts = RunFacts(Run().pk, "ground_run", STARTED_AT + timedelta(days=days))
    run = run_enter(engine=engine, facts=facts, by=by)
    trace_enter(run=run, file=io.BytesIO(recording_csv(peak=peak)), name="run.csv", by=by)
    return run


def test_a_run_beyond_it_alone_opens_nothing(client: Client, own: Engine, mechanic: Person) -> None:
    run = recorded(own, mechanic, 690.0)
    page = words(signed_in(client, mechanic).get(reverse("run_detail", args=[run.pk])))
    assert "Within limits" in page
    assert "House ITT, the operator's own: Above the operator's own limit of 650 °C for" in page
    assert "10.0 °C short of the maker's limit of 700 °C." in page
    assert not Inspection.objects.exists()
    assert condition_of(own).is_serviceable
    judgement = judgement_of(run)
    assert judgement is not None
    assert (judgement.advised, judgement.verdict["excursions"]) == (1, [])
    assert "advisory" not in judgement.verdict


def test_a_person_sees_it_in_the_units_they_chose(client: Client, own: Engine, mechanic: Person) -> None:
    run = recorded(own, mechanic, 690.0)
    units_choose(person=mechanic, chosen={"": "degF"})
    page = words(signed_in(client, mechanic).get(reverse("run_detail", args=[run.pk])))
    assert "18.0 °F short of the maker's limit of 1292 °F." in page


def test_the_engines_page_counts_and_lists_them(
    client: Client, own: Engine, auditor: Person, mechanic: Person, django_assert_max_num_queries: Any
) -> None:
    for days, peak in enumerate((640.0, 690.0, 712.0)):
        recorded(own, mechanic, peak, days)
    reading = RunFacts(Run().pk, "flight", STARTED_AT, readings=(ReadingFacts("ITT, running", 660.0, 4.0),))
    run_enter(engine=own, facts=reading, by=mechanic)
    signed_in(client, auditor)
    with django_assert_max_num_queries(10):
        page = words(client.get(reverse("engine_advisory", args=[own.pk])))
    assert "House ITT, of ITT, running 650 °C 700 °C Kinder to the blades 3 in all" in page
    assert "nearest to the maker's limit 10 °C short of it" in page
    assert "beyond the maker's limit of 700 °C too" in page
    assert "Nothing is called for by going beyond them" in page
    printed = " ".join(" ".join(pages_of(client.get(reverse("advisory_print", args=[own.pk])).content)).split())
    ends = "End of the operator's own limits."
    for said in ("These limits are the operator's own", "House ITT", "3 in all", "for 4 s, to 660 °C", ends):
        assert said in printed


def test_a_void_run_counts_no_more(client: Client, own: Engine, mechanic: Person) -> None:
    from inspections.actions import run_judge

    run = recorded(own, mechanic, 690.0)
    run_void(run=run, why="Other engine", by=mechanic)
    run.refresh_from_db()
    run_judge(run=run)
    page = words(signed_in(client, mechanic).get(reverse("engine_advisory", args=[own.pk])))
    assert "0 in all" in page and "Never, in what was recorded." in page


def test_an_engine_without_any_says_so(client: Client, engine: Engine, auditor: Person) -> None:
    page = words(signed_in(client, auditor).get(reverse("engine_advisory", args=[engine.pk])))
    assert "The operator has none for this engine." in page


def test_by_rest(client: Client, own: Engine, mechanic: Person, stranger: Person) -> None:
    run = recorded(own, mechanic, 690.0)
    signed_in(client, mechanic)
    found = client.get(reverse("api:engine-advisory", args=[own.pk])).json()
    assert found["counts"] == [
        {
            "name": "House ITT",
            "chart": "ITT, running",
            "unit": "degC",
            "limit": 650.0,
            "maker": 700.0,
            "reason": "Kinder to the blades",
            "in_all": 1,
            "since_overhaul": None,
            "recent": 0,
            "least_margin": 10.0,
        }
    ]
    assert found["passed"][0]["run"] == str(run.pk)
    (one,) = client.get(reverse("api:run-advisory", args=[run.pk])).json()
    assert one == found["passed"][0]["advised"]
    assert (one["name"], one["margin"], one["is_beyond_maker"]) == ("House ITT", 10.0, False)
    signed_in(client, stranger)
    assert client.get(reverse("api:engine-advisory", args=[own.pk])).status_code == 404
    assert client.get(reverse("api:run-advisory", args=[run.pk])).status_code == 404


def test_a_loose_one_is_refused_by_rest_saying_where(client: Client, own: Engine, director: Person) -> None:
    document = own.engine_type.revisions.get().document | {"name": "Other", "advisory": [OWN[0] | {"limit": 700}]}
    response = signed_in(client, director).post(
        reverse("api:engine-type-list"), document, content_type="application/json"
    )
    assert response.status_code == 400
    assert "must be tighter than the maker's: below 700 °C" in response.json()["fields"]["advisory[0].limit"]

"""Where the numbers come from: every figure opens its samples, its chart and its arithmetic."""

import csv
import io
import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.evidence import ReadingFacts, RunFacts
from engines.models import Engine, Run
from engines.web import PAGE_ROWS
from inspections.models import Judgement
from inspections.queries import judgement_of
from logbook import sources
from logbook.actions import run_enter, trace_enter
from logbook.models import Person
from tests.documents import type_document
from tests.factories import STARTED_AT, EngineFactory, RunFactory
from tests.logbook.screen_kit import recording_csv, run_with_inspection, signed_in, words
from tests.signed import run_signed

FEW_QUERIES = 10


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a run with a recorded trace and a reading from the gauge."""
    readings = (ReadingFacts("ITT, running", None, 8.0),)
    facts = RunFacts(id=Run().pk, kind=Run.Kind.FLIGHT, started_at=STARTED_AT, readings=readings)
    run = run_enter(engine=engine, facts=facts, by=mechanic)
    run_signed(run, mechanic)
    trace_enter(run=run, file=io.BytesIO(b"recorder 7\n" + recording_csv()), name="run.csv", by=mechanic)
    run_signed(run, mechanic)
    return Run.objects.get(pk=run.pk)


@pytest.fixture
def judgement(run: Run) -> Judgement:
    """Return the judgement that stands."""
    standing = judgement_of(run)
    assert standing is not None
    return standing


def source(judgement: Judgement, place: int = 1, name: str = "excursion_source") -> str:
    """Return the address of an excursion's sources."""
    return reverse(name, args=[judgement.run_id, judgement.pk, place])


def test_every_fact_of_a_run_opens_its_source(
    client: Client, run: Run, judgement: Judgement, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    signed_in(client, auditor)
    with django_assert_max_num_queries(FEW_QUERIES):
        page = client.get(reverse("run_detail", args=[run.pk])).content.decode()
    for part in ("samples", "rule", "seconds", "peak", "area", "worst", "margin", "revision"):
        assert f'href="{source(judgement)}#{part}"' in page
    assert f'href="{reverse("usage_source", args=[run.pk, judgement.pk])}"' in page
    assert f'href="{reverse("engine_times", args=[run.engine_id])}?run={run.pk}"' in page
    shown = client.get(source(judgement)).content.decode()
    for part in ("samples", "rule", "seconds", "peak", "area", "worst", "margin", "revision"):
        assert f'id="{part}"' in shown


def test_the_arithmetic_is_worked_through(
    client: Client, judgement: Judgement, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    signed_in(client, auditor)
    with django_assert_max_num_queries(FEW_QUERIES):
        page = words(client.get(source(judgement)))
    for text in (
        "Excursion 1 of 2",
        "Printed in entry 1 , entry 2 .",
        "Together 20.1 s above 700 °C.",
        "The highest valid sample in the excursion is 770 °C.",
        "Area A: 19.8 s above 720 °C, allowed no time: 19.8 s over, so it was entered.",
        "Area B: 19.2 s above 760 °C, allowed no time: 19.2 s over, so it was entered.",
        "There is no more severe area.",
        "Nothing was assumed",
        "The limit is 700 °C; what is above it counts, while running or stopping.",
        "ITT, running: invented for the tests, page 2",
        "Limits revision 1",
        "Checked by not recorded",
        "40 of 40 shown.",
    ):
        assert text in page, text
    assert "<button" not in client.get(source(judgement)).content.decode().split("<main")[1].split("</main>")[0]


def test_samples_come_as_csv_with_the_rows_of_the_file(client: Client, judgement: Judgement, auditor: Person) -> None:
    response = signed_in(client, auditor).get(source(judgement, name="excursion_samples"))
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert response["Content-Disposition"].startswith("attachment; ")
    heading, *rows = csv.reader(io.StringIO(response.content.decode()))
    assert heading == [
        "sample",
        "file row",
        "time (s)",
        "itt (°C)",
        "time beyond the limit since the sample before (s)",
    ]
    assert sum(float(row[-1]) for row in rows) == pytest.approx(judgement.verdict["excursions"][0]["seconds_above"])
    hot = next(row for row in rows if float(row[3]) == 770)
    line = (b"recorder 7\n" + recording_csv()).decode().splitlines()[int(hot[1]) - 1]
    assert (line.split(",")[0], line.split(",")[1]) == (f"{float(hot[2]):.0f}", "770.0")


def test_samples_in_another_unit_stand_beside_those_of_the_record(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    document = type_document()
    document["charts"][1] |= {"unit": "degF", "limit": 1292, "areas": [], "repeats": []}
    engine.engine_type.revisions.update(document=document)
    facts = RunFacts(id=Run().pk, kind=Run.Kind.FLIGHT, started_at=STARTED_AT)
    run = run_enter(engine=engine, facts=facts, by=mechanic)
    run_signed(run, mechanic)
    trace_enter(run=run, file=io.BytesIO(recording_csv()), name="run.csv", by=mechanic)
    standing = judgement_of(run)
    assert standing is not None
    response = signed_in(client, mechanic).get(source(standing, name="excursion_samples"))
    heading, *rows = csv.reader(io.StringIO(response.content.decode()))
    assert heading[3:5] == ["itt (°F)", "itt (°C)"]
    assert [float(x) for x in max(rows, key=lambda row: float(row[3]))[3:5]] == pytest.approx([1418, 770])
    assert "turned from °C into °F" in words(client.get(source(standing)))


def test_a_sample_without_a_value_is_said_to_be_none(client: Client, engine: Engine, mechanic: Person) -> None:
    lines = recording_csv().split(b"\n")
    lines[95] = lines[95].replace(b",770.0,", b",,")
    facts = RunFacts(id=Run().pk, kind=Run.Kind.FLIGHT, started_at=STARTED_AT)
    run = run_enter(engine=engine, facts=facts, by=mechanic)
    run_signed(run, mechanic)
    trace_enter(run=run, file=io.BytesIO(b"\n".join(lines)), name="run.csv", by=mechanic)
    standing = judgement_of(run)
    assert standing is not None
    assert "no valid sample" in words(signed_in(client, mechanic).get(source(standing)))
    response = client.get(source(standing, name="excursion_samples"))
    assert "" in {row[3] for row in csv.reader(io.StringIO(response.content.decode()))}


def test_a_reading_from_the_gauge_has_no_samples(client: Client, judgement: Judgement, auditor: Person) -> None:
    page = words(signed_in(client, auditor).get(source(judgement, 2)))
    assert "As written down from the gauge: 8 s." in page
    assert "The peak is not known: at worst it was beyond every value of the chart." in page
    assert "Area B: 8 s, all of it taken to be at a value that is not known, allowed no time: 8 s over" in page
    assert sources.FROM_THE_GAUGE in page
    assert client.get(source(judgement, 2, "excursion_samples")).status_code == 404


def test_a_file_that_is_gone_leaves_the_rest(client: Client, judgement: Judgement, auditor: Person) -> None:
    assert judgement.trace is not None
    trace = judgement.trace
    signed_in(client, auditor)
    for file in (trace.original, trace.packed):
        file.storage.delete(file.name)
    page = words(client.get(source(judgement)))
    assert sources.GONE in page
    assert "The trace it was judged on is not at hand." in page
    assert client.get(reverse("trace_file", args=[judgement.run_id, trace.pk])).status_code == 404
    assert "the recorded file is not at hand" in words(
        client.get(reverse("usage_source", args=[judgement.run_id, judgement.pk]))
    )


def test_rows_of_a_file_are_not_known_where_it_is_too_long_to_count(
    client: Client, judgement: Judgement, auditor: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sources, "MOST_NUMBERED", 10)
    response = signed_in(client, auditor).get(source(judgement, name="excursion_samples"))
    assert {row[1] for row in list(csv.reader(io.StringIO(response.content.decode())))[1:]} == {""}
    monkeypatch.undo()
    assert judgement.trace is not None
    file = judgement.trace.original
    file.storage.delete(file.name)
    assert "not known" in words(client.get(source(judgement)))


def test_a_recorded_file_comes_as_it_came_and_never_as_a_page(
    client: Client, run: Run, judgement: Judgement, auditor: Person
) -> None:
    assert judgement.trace is not None
    response: Any = signed_in(client, auditor).get(reverse("trace_file", args=[run.pk, judgement.trace.pk]))
    assert b"".join(response.streaming_content) == b"recorder 7\n" + recording_csv()
    assert response["Content-Type"] == "application/octet-stream"
    assert response["Content-Disposition"] == 'attachment; filename="run.csv"'
    assert response["X-Content-Type-Options"] == "nosniff"


def test_what_is_of_another_run_is_not_there(
    client: Client, engine: Engine, run: Run, judgement: Judgement, auditor: Person, *, mechanic: Person
) -> None:
    other = run_with_inspection(engine, mechanic)
    assert judgement.trace is not None
    signed_in(client, auditor)
    for address in (
        reverse("excursion_source", args=[other.pk, judgement.pk, 1]),
        source(judgement, 0),
        source(judgement, 3),
        reverse("usage_source", args=[other.pk, judgement.pk]),
        reverse("trace_file", args=[other.pk, judgement.trace.pk]),
        reverse("engine_times", args=[EngineFactory.create(operator=engine.operator, serial="ZZ-1").pk])
        + f"?run={run.pk}",
        reverse("engine_times", args=[engine.pk]) + f"?run={uuid.uuid4()}",
        reverse("engine_times", args=[engine.pk]) + "?run=nonsense",
    ):
        assert client.get(address).status_code == 404, address


def test_what_another_operator_keeps_is_not_there(
    client: Client, run: Run, judgement: Judgement, stranger: Person
) -> None:
    assert judgement.trace is not None
    signed_in(client, stranger)
    for address in (
        source(judgement),
        source(judgement, name="excursion_samples"),
        reverse("usage_source", args=[run.pk, judgement.pk]),
        reverse("trace_file", args=[run.pk, judgement.trace.pk]),
        reverse("engine_times", args=[run.engine_id]),
    ):
        assert client.get(address).status_code == 404, address


def test_hours_starts_and_cycles_are_worked_through(
    client: Client, run: Run, judgement: Judgement, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    signed_in(client, auditor)
    with django_assert_max_num_queries(FEW_QUERIES):
        page = words(client.get(reverse("usage_source", args=[run.pk, judgement.pk])))
    usage = judgement.verdict["usage"]
    seconds = round(usage["hours"] * 3600)
    assert f"From light-off at 0:08 to the end of running at 2:50: {seconds} s" in page
    assert "0:05 0:08 0:29 started a start and a cycle" in page
    assert "The engine turns from 5 % of gas generator speed on" in page
    assert f"( {seconds} seconds )".replace("( ", "(").replace(" )", ")") in page


def test_a_run_without_a_record_says_so(client: Client, engine: Engine, mechanic: Person, auditor: Person) -> None:
    run = run_with_inspection(engine, mechanic)
    page = words(signed_in(client, auditor).get(reverse("usage_source", args=[run.pk, run.judgements.get().pk])))
    assert "had no record of the speed to count by" in page
    assert "Run time 0.40 h not recorded 0.40 h (1,440 seconds)" in page


def test_an_engines_times_add_up_line_by_line(
    client: Client, engine: Engine, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    engine.opening_run_time_s, engine.opening_starts = 36_000, 10
    engine.save()
    runs = [
        RunFactory.create(engine=engine, started_at=STARTED_AT + timedelta(days=k), run_time_s=1800, starts=1, cycles=1)
        for k in range(PAGE_ROWS + 2)
    ]
    signed_in(client, auditor)
    address = reverse("engine_times", args=[engine.pk])
    with django_assert_max_num_queries(FEW_QUERIES):
        page = words(client.get(address))
    assert "When the record began 10.00 h" in page
    assert "+ 0.50 h = 10.50 h" in page
    assert f"{PAGE_ROWS} of {PAGE_ROWS + 2} shown" in page
    assert "Run time 36.0 h" in page
    second = words(client.get(address, {"page": 2}))
    assert "Carried from page 1 35.00 h" in second
    assert "+ 0.50 h = 36.00 h" in second
    until = words(client.get(address, {"run": runs[1].pk}))
    assert "2 of 2 shown" in until
    assert "Run time 11.0 h" in until


def test_an_engine_without_runs_has_what_it_came_with(client: Client, engine: Engine, auditor: Person) -> None:
    page = words(signed_in(client, auditor).get(reverse("engine_times", args=[engine.pk])))
    assert "When the record began 0.00 h" in page
    assert "0 of 0 shown" in page

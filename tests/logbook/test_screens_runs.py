"""One run: the verdict as a sentence, the picture, the same facts as a table, and what it rests on."""

import io
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.evidence import ReadingFacts, RunFacts
from engines.models import Engine, Run
from logbook.actions import run_enter, trace_enter
from logbook.models import Person
from tests.factories import STARTED_AT, RunFactory
from tests.logbook.screen_kit import recording_csv, run_with_inspection, signed_in, words
from tests.signed import run_signed


def page_of(client: Client, run: Run, person: Person) -> tuple[str, str]:
    """Return a run's page as words and as markup."""
    response = signed_in(client, person).get(reverse("run_detail", args=[run.pk]))
    assert response.status_code == 200
    return words(response), response.content.decode()


def traced(engine: Engine, by: Person, content: bytes, readings: tuple[ReadingFacts, ...] = ()) -> Run:
    """Record a run, perhaps with readings, and add its trace."""
    facts = RunFacts(id=Run().pk, kind=Run.Kind.FLIGHT, started_at=STARTED_AT, readings=readings)
    run = run_enter(engine=engine, facts=facts, by=by)
    trace_enter(run=run, file=io.BytesIO(content), name="run.csv", by=by)
    run_signed(run, by)
    return Run.objects.get(pk=run.pk)


def test_the_verdict_comes_first_as_a_sentence(client: Client, engine: Engine, mechanic: Person) -> None:
    page, _ = page_of(client, traced(engine, mechanic, recording_csv()), mechanic)
    sentence = (
        "Interstage turbine temperature was above 700 °C for 20.1 s, peak 770 °C: "
        "area B, which calls for: Hot section inspection. Before the next flight."
    )
    assert sentence in page
    assert "Limit from ITT, running: invented for the tests, page 2" in page
    assert page.index("Inspection called for") < page.index(sentence) < page.index("Inspections opened")
    assert "The tool proposes, a person decides and signs." in page


def test_the_picture_is_drawn_for_phone_and_desk_with_its_facts(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    page, markup = page_of(client, traced(engine, mechanic, recording_csv()), mechanic)
    ids = [part.split('"')[0] for part in markup.split('-title"')[0].split('id="')[1:]]
    assert markup.count('<svg xmlns="http://www.w3.org/2000/svg" class="picture"') == 3
    assert len(ids) == len(set(ids))
    assert "200 samples, 1.0 per second, 0 gaps" in page
    assert "Time above each level 700 °C: 20.1 s; 720 °C: 19.8 s; 760 °C: 19.2 s" in page
    assert " style=" not in markup


def test_every_limit_in_force_is_listed(client: Client, engine: Engine, mechanic: Person) -> None:
    content = b"\n".join(line.rsplit(b",", 1)[0] for line in recording_csv().splitlines())
    page, _ = page_of(client, traced(engine, mechanic, content), mechanic)
    assert "ITT, starting 800 °C, not above Within the limit" in page
    assert "ITT, running 700 °C, not above Beyond the limit, area B" in page
    assert "Oil pressure, running 40 psi, not below Not judged: the trace has no column for Oil pressure" in page
    assert "Oil pressure, running was not judged" in page
    assert "3 events in area A or beyond since overhaul, causes corrected not counted. 1 of 3 ." in page


def test_a_near_miss_is_part_of_the_record(client: Client, engine: Engine, mechanic: Person) -> None:
    page, _ = page_of(client, traced(engine, mechanic, recording_csv(peak=710.0, above_s=9)), mechanic)
    assert "Beyond a limit, no area entered" in page
    sentence = "Interstage turbine temperature was above 700 °C for 8.3 s, peak 710 °C: no area entered;"
    assert page.index(sentence) < page.index("Nothing is called for by it.")


def test_near_misses_stand_below_what_is_called_for(client: Client, engine: Engine, mechanic: Person) -> None:
    reading = ReadingFacts("Oil pressure, running", 38.0, 2.0)
    page, _ = page_of(client, traced(engine, mechanic, recording_csv(), (reading,)), mechanic)
    assert "Near misses Oil pressure was below 40 psi for 2 s, lowest 38 psi: no area entered;" in page


def test_within_the_limits_is_said_calmly(client: Client, engine: Engine, mechanic: Person) -> None:
    page, _ = page_of(client, traced(engine, mechanic, recording_csv(peak=650.0)), mechanic)
    assert "Within limits No reading was beyond a limit in what was recorded." in page
    assert "What the record does not show Nothing is known to be missing." in page


def test_gaps_and_words_in_the_record_are_told(client: Client, engine: Engine, mechanic: Person) -> None:
    rows = recording_csv().decode().splitlines()
    rows[50] = "49,---,90.0,80.0,60"
    content = "\n".join(rows[:100] + rows[120:]).encode()
    page, _ = page_of(client, traced(engine, mechanic, content), mechanic)
    assert "Interstage turbine temperature was not observed from 1:38 to 1:59." in page
    assert "Column itt: 1 cell without a number, for example “---”." in page


def test_a_reading_stands_beside_the_trace(client: Client, engine: Engine, mechanic: Person) -> None:
    reading = ReadingFacts("ITT, running", None, 4.0)
    page, _ = page_of(client, traced(engine, mechanic, recording_csv(peak=650.0), (reading,)), mechanic)
    assert "Reading from the gauge ITT, running: reading not known, 4 s." in page
    assert "run.csv, 200 samples (the one judged)" in page
    assert "itt as itt in °C" in page
    assert "Every column was used." in page
    assert "Judged again since it was first recorded; the earlier judgements are kept." in page


def test_a_typed_reading_has_facts_but_no_picture(client: Client, engine: Engine, mechanic: Person) -> None:
    page, markup = page_of(client, run_with_inspection(engine, mechanic), mechanic)
    assert "No picture: no recorded trace shows this limit." in page
    assert 'class="picture"' not in markup
    assert "The same facts Measured Interstage turbine temperature" in page
    assert "Run time 0.40 h (as typed)" in page


@pytest.mark.parametrize("judged", [True, False])
def test_nothing_read_is_not_good_news(judged: bool, client: Client, engine: Engine, mechanic: Person) -> None:
    if judged:
        facts = RunFacts(id=Run().pk, kind=Run.Kind.MOTORING, started_at=STARTED_AT)
        page, _ = page_of(client, run_enter(engine=engine, facts=facts, by=mechanic), mechanic)
        assert "Nothing was read" in page
        assert "What the record does not show All of it: no reading was written down" in page
        assert "there is nothing to judge by" in page
        assert "Not judged: nothing was read" in page
    else:
        run: Any = RunFactory.create(engine=engine, recorded_by=mechanic)
        page, _ = page_of(client, run, mechanic)
        assert "Not judged yet" in page
        assert "The run has not been judged." in page


def test_an_auditor_is_not_offered_to_add(client: Client, engine: Engine, mechanic: Person, auditor: Person) -> None:
    run = run_with_inspection(engine, mechanic)
    assert "Add a recorded trace" in page_of(client, run, mechanic)[0]
    assert "Add a recorded trace" not in page_of(client, run, auditor)[0]


def test_many_excursions_fold_their_facts(client: Client, engine: Engine, mechanic: Person) -> None:
    readings = tuple(ReadingFacts("ITT, running", 705.0 + n, 2.0) for n in range(6))
    facts = RunFacts(id=Run().pk, kind=Run.Kind.FLIGHT, started_at=STARTED_AT, readings=readings)
    page, markup = page_of(client, run_enter(engine=engine, facts=facts, by=mechanic), mechanic)
    assert "The same facts, excursion 3" in page
    assert "3 more excursions" in page
    assert all(f"{705 + n} °C" in page for n in range(6))


def test_the_file_can_be_had_as_it_came(client: Client, engine: Engine, mechanic: Person) -> None:
    run = traced(engine, mechanic, recording_csv())
    _, markup = page_of(client, run, mechanic)
    address = reverse("trace_file", args=[run.pk, run.traces.get().pk])
    assert f'href="{address}" download' in markup
    response: Any = client.get(address)
    assert b"".join(response.streaming_content) == recording_csv()

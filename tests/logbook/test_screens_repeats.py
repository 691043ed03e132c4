"""Where a repeat count comes from: what was counted, what was not and why, and the rule."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.evidence import ReadingFacts, RunFacts
from engines.models import Engine, Run
from inspections import actions, queries
from inspections.counted import NO_TIME, count_source
from inspections.models import Judgement
from logbook.actions import run_enter
from logbook.models import Person
from tests.documents import type_document
from tests.factories import STARTED_AT
from tests.logbook.screen_kit import signed_in, words

FEW_QUERIES = 10
AREA_A, NEAR_MISS = (715.0, 70.0), (715.0, 1.0)


def recorded(engine: Engine, by: Person, reading: tuple[float, float], day: int, **changes: Any) -> Run:
    """Record a run with one reading of the chart that has a repeat rule."""
    facts = RunFacts(
        id=Run().pk,
        kind=Run.Kind.GROUND_RUN,
        started_at=STARTED_AT + timedelta(days=day),
        readings=(ReadingFacts("ITT, running", *reading),),
        **changes,
    )
    return run_enter(engine=engine, facts=facts, by=by)


def judged(run: Run) -> Judgement:
    """Return the judgement that stands for a run."""
    found = queries.judgement_of(run)
    assert found is not None
    return found


def ruled(engine: Engine, **rule: Any) -> None:
    """Give the engine's type one repeat rule."""
    document = type_document(name=engine.engine_type.name)
    action = {"summary": "Borescope inspection", "before_next_flight": True}
    document["charts"][1]["repeats"] = [rule | {"action": action}]
    engine.engine_type.revisions.update(document=document)


def counted(run: Run) -> list[Run]:
    """Return the runs that the count of a run rests on, newest first."""
    source = count_source(judged(run), 1)
    assert source is not None
    assert not source.has_changed
    return [line.run for line in source.counted]


def reasons(run: Run) -> list[str]:
    """Return why the rest was not counted, newest first."""
    source = count_source(judged(run), 1)
    assert source is not None
    return [line.why_not for line in source.left_out]


def address(run: Run, place: int = 1) -> str:
    """Return where the count of a run is shown."""
    return reverse("repeat_source", args=[run.pk, judged(run).pk, place])


def test_a_count_opens_what_it_counted_and_what_it_did_not(
    client: Client, engine: Engine, mechanic: Person, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    first, corrected, missed, second, third = (
        recorded(engine, mechanic, reading, day)
        for day, reading in enumerate((AREA_A, AREA_A, NEAR_MISS, AREA_A, AREA_A))
    )
    assert counted(third)[:2] == [third, second]
    cause = corrected.inspections.get(rule="area A")
    actions.cause_set(inspection=cause, cause="corrected", text="Bleed valve stuck", by=mechanic)
    signed_in(client, auditor)
    with django_assert_max_num_queries(FEW_QUERIES):
        page = words(client.get(address(third)))
    for text in (
        "3 events in area A or beyond since overhaul, causes corrected not counted",
        "4 of 3 , so Borescope inspection is called for",
        "what is listed here now comes to 3.",
        "Not counted, and why",
        "it entered no area",
        "its cause is corrected",
        "No overhaul is recorded, so every run counts that is recorded here.",
        "Limits revision 1",
    ):
        assert text in page, text
    markup = client.get(address(third)).content.decode()
    for run in (first, corrected, missed, second, third):
        assert f'href="{reverse("run_detail", args=[run.pk])}"' in markup
        assert f'href="{reverse("excursion_source", args=[run.pk, judged(run).pk, 1])}"' in markup


def test_a_count_shows_what_was_known_when_it_was_made(engine: Engine, mechanic: Person) -> None:
    first, second = (recorded(engine, mechanic, AREA_A, day) for day in (0, 1))
    recorded(engine, mechanic, AREA_A, 2)
    assert counted(first) == [first]
    assert counted(second) == [second, first]


def test_an_earlier_judgement_that_a_later_one_replaced_is_counted_once(engine: Engine, mechanic: Person) -> None:
    first = recorded(engine, mechanic, AREA_A, 0)
    actions.run_judge(run=first)
    assert counted(recorded(engine, mechanic, AREA_A, 1))[1:] == [first]


def test_what_was_before_the_overhaul_is_said_to_be(engine: Engine, mechanic: Person) -> None:
    engine.overhauled_on = (STARTED_AT + timedelta(days=1)).date()
    engine.save()
    recorded(engine, mechanic, AREA_A, 0)
    last = recorded(engine, mechanic, AREA_A, 2)
    assert (counted(last), reasons(last)) == ([last], ["it was before the count began"])
    source = count_source(judged(last), 1)
    assert source is not None
    assert source.begins == "Counted from 2026-05-05 on: the last overhaul that is recorded."


def test_hours_say_what_is_too_long_ago(engine: Engine, mechanic: Person) -> None:
    ruled(engine, area="A", count=2, since={"hours": 10})
    recorded(engine, mechanic, AREA_A, 0)
    last = recorded(engine, mechanic, AREA_A, 1, typed_run_time_s=11 * 3600)
    assert (counted(last), reasons(last)) == ([last], ["the engine has run more than 10 h since"])


def test_an_approved_inspection_begins_the_count_again(engine: Engine, mechanic: Person) -> None:
    ruled(engine, area="A", count=2, since={"action": "hot section inspection"})
    first = recorded(engine, mechanic, AREA_A, 0)
    source = count_source(judged(first), 1)
    assert source is not None
    assert source.begins.startswith("No approved “hot section inspection” is recorded")


def test_seconds_are_added_up_run_by_run(client: Client, engine: Engine, mechanic: Person) -> None:
    ruled(engine, above=710, seconds=100, since="new")
    recorded(engine, mechanic, (705.0, 30.0), 0)
    first, last = (recorded(engine, mechanic, AREA_A, day) for day in (1, 2))
    assert (counted(last), reasons(last)) == ([last, first], [NO_TIME])
    page = words(signed_in(client, mechanic).get(address(last)))
    for text in ("140 of 100 s", "Counted: 140 s", "70 s", "Added up is the time above 710 °C of each run."):
        assert text in page, text


def test_the_run_and_the_inspection_lead_to_the_count(client: Client, engine: Engine, mechanic: Person) -> None:
    runs = [recorded(engine, mechanic, AREA_A, day) for day in range(3)]
    signed_in(client, mechanic)
    called = runs[2].inspections.get(rule="repeat 1")
    by_area = runs[2].inspections.get(rule="area A")
    assert address(runs[2]) in client.get(reverse("run_detail", args=[runs[2].pk])).content.decode()
    assert address(runs[2]) in client.get(reverse("inspection_detail", args=[called.pk])).content.decode()
    assert "/repeats/" not in client.get(reverse("inspection_detail", args=[by_area.pk])).content.decode()


@pytest.mark.parametrize("place", [0, 2])
def test_a_count_that_is_not_there_is_not_found(
    place: int, client: Client, engine: Engine, mechanic: Person, stranger: Person
) -> None:
    run = recorded(engine, mechanic, AREA_A, 0)
    assert signed_in(client, mechanic).get(address(run, place)).status_code == 404
    assert signed_in(client, stranger).get(address(run)).status_code == 404

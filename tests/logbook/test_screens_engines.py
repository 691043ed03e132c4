"""The engines, and one of them with all that belongs to it."""

import io
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.actions import part_fit
from engines.models import Component, Engine
from logbook.actions import trace_enter
from logbook.models import Person
from tests.factories import STARTED_AT, ComponentFactory, EngineFactory, RunFactory
from tests.logbook.screen_kit import inspection_opened, recording_csv, run_with_inspection, signed_in, words


def test_each_engine_has_a_card(client: Client, engine: Engine, mechanic: Person) -> None:
    run_with_inspection(engine, mechanic)
    EngineFactory(operator=engine.operator, serial="TB-0002", fitted_to="", engine_type=engine.engine_type)
    page = words(signed_in(client, mechanic).get(reverse("engine_list")))
    assert "TB-0001" in page
    assert "test stand Unserviceable Inspection 1 is open: Hot section inspection Open inspections: 1" in page
    assert "where fitted: not recorded Serviceable Open inspections: 0" in page
    assert "Run time 0.4 h" in page
    assert "2 of 2 shown." in page


def test_many_engines_cost_no_more_queries(
    client: Client, engine: Engine, mechanic: Person, django_assert_max_num_queries: Any
) -> None:
    EngineFactory.create_batch(12, operator=engine.operator, engine_type=engine.engine_type)
    signed_in(client, mechanic)
    with django_assert_max_num_queries(10):
        client.get(reverse("engine_list"))


def test_a_long_list_has_pages(client: Client, engine: Engine, mechanic: Person) -> None:
    EngineFactory.create_batch(50, operator=engine.operator, engine_type=engine.engine_type, revision=False)
    signed_in(client, mechanic)
    first, second = (client.get(reverse("engine_list"), {"page": page}) for page in (1, 2))
    assert "50 of 51 shown." in words(first)
    assert "1 of 51 shown." in words(second)
    assert 'rel="next" href="?page=2"' in first.content.decode()


def test_an_operator_without_engines_is_told(client: Client, stranger: Person) -> None:
    assert "No engines are kept here yet." in words(signed_in(client, stranger).get(reverse("engine_list")))


def test_one_engine_says_why_it_is_held_and_what_it_used(client: Client, engine: Engine, mechanic: Person) -> None:
    inspection = inspection_opened(engine, mechanic)
    page = words(signed_in(client, mechanic).get(reverse("engine_detail", args=[engine.pk])))
    assert "Unserviceable Inspection 1 is open: Hot section inspection" in page
    assert "Run time 0.4 h Time in service 0.0 h Starts 0 Cycles 0" in page
    assert f"{inspection.number}: Hot section inspection Open Before the next flight. Opened today." in page
    assert "2026-05-04 07:30 Ground run 0.40 h Inspection called for" in page
    assert "Entry 1 : Ground run recorded, 2026-05-04" in page
    assert "Print the log of this engine" in page


def test_an_engine_without_a_history_says_none(client: Client, engine: Engine, mechanic: Person) -> None:
    page = words(signed_in(client, mechanic).get(reverse("engine_detail", args=[engine.pk])))
    assert "Condition Serviceable" in page
    assert "Open inspections None." in page
    assert "Latest runs None recorded." in page
    assert "Parts fitted None recorded." in page
    assert "Latest entries None yet." in page


def test_parts_fitted_carry_their_times(client: Client, engine: Engine, mechanic: Person) -> None:
    part: Component = ComponentFactory.create(
        operator=engine.operator, description="Compressor wheel", brought_run_time_s=3600
    )
    part_fit(component=part, engine=engine, position="1", at=STARTED_AT, by=mechanic)
    RunFactory(engine=engine, recorded_by=mechanic, run_time_s=7200, starts=2, cycles=1)
    page = words(signed_in(client, mechanic).get(reverse("engine_detail", args=[engine.pk])))
    assert f"TB-100, {part.serial} Compressor wheel 3.0 h 2 1" in page


def test_a_run_that_nobody_judged_is_not_called_within_limits(client: Client, engine: Engine, mechanic: Person) -> None:
    RunFactory(engine=engine, recorded_by=mechanic)
    assert "Not judged yet" in words(signed_in(client, mechanic).get(reverse("engine_detail", args=[engine.pk])))


@pytest.mark.parametrize(("role", "shown"), [("mechanic", True), ("auditor", False)])
def test_only_who_may_record_is_offered_it(
    role: str, shown: bool, client: Client, engine: Engine, request: pytest.FixtureRequest
) -> None:
    signed_in(client, request.getfixturevalue(role))
    for address in (reverse("engine_list"), reverse("engine_detail", args=[engine.pk])):
        assert ("Record a run" in words(client.get(address))) is shown


@pytest.mark.parametrize(
    ("asked", "status", "says"),
    [
        ({"from": "2026-05-05", "to": "2026-05-04"}, 422, "The last day lies before the first."),
        ({"from": "last week"}, 422, "Enter a valid date."),
        ({"paper": "papyrus"}, 404, "There is no such page"),
    ],
)
def test_a_log_that_cannot_be_is_refused(
    asked: dict[str, str], status: int, says: str, client: Client, *, engine: Engine, mechanic: Person
) -> None:
    response = signed_in(client, mechanic).get(reverse("log_print", args=[engine.pk]), asked)
    assert response.status_code == status
    assert says in words(response)


def test_the_record_names_day_and_person_of_everything(
    client: Client, engine: Engine, mechanic: Person, django_assert_max_num_queries: Any
) -> None:
    run = run_with_inspection(engine, mechanic)
    trace_enter(run=run, file=io.BytesIO(recording_csv()), name="run.csv", by=mechanic)
    for n in range(8):
        part: Component = ComponentFactory.create(operator=engine.operator, description=f"Part {n}")
        part_fit(component=part, engine=engine, position=str(n), at=STARTED_AT, by=mechanic)
    signed_in(client, mechanic)
    for name in ("engine_record", "engine_detail"):
        with django_assert_max_num_queries(10):
            client.get(reverse(name, args=[engine.pk]))
    page = words(client.get(reverse("engine_record", args=[engine.pk])))
    assert "When its record here began 0.0 h run time, 0.0 h in service, 0 starts, 0 cycles" in page
    assert (
        f"Part 0, 0 0.4 h, 1 start, 1 cycle 0.4 h, 1 start, 1 cycle 2026-05-04 07:30 , recorded by {mechanic}" in page
    )
    assert "Fitted TB-100" in page
    assert "Revision 1 : invented for the tests, from the beginning. Entered by" in page
    assert f"run.csv 2026-05-04 07:30 200 {run.traces.get().original_sha256[:16]}…" in page


def test_an_empty_record_says_so(client: Client, engine: Engine, mechanic: Person) -> None:
    page = words(signed_in(client, mechanic).get(reverse("engine_record", args=[engine.pk])))
    assert "No part was recorded as fitted or removed." in page
    assert "None: no run is judged yet." in page


def test_engines_are_narrowed(client: Client, engine: Engine, mechanic: Person) -> None:
    EngineFactory(operator=engine.operator, serial="XX-9", engine_type=engine.engine_type)
    page = words(signed_in(client, mechanic).get(reverse("engine_list"), {"serial": "xx"}))
    assert "1 of 1 shown, of 2 kept." in page
    assert "No engine answers to this." in words(client.get(reverse("engine_list"), {"serial": "none"}))


def test_times_are_shown_in_tenths_hundredths_and_hours_and_minutes(client: Client, auditor: Person) -> None:
    """582 minutes, as eight published runs add up to: 9.7 h, 9.70 h, 9:42; the tenths of each would make 9.9 h."""
    engine = EngineFactory.create(operator=auditor.operator, opening_run_time_s=582 * 60)
    page = words(signed_in(client, auditor).get(reverse("engine_times", args=[engine.pk])))
    assert "9.7 h" in page
    assert "in hours and minutes, 9:42 and 0:00" in page

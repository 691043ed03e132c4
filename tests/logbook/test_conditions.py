"""An engine is Unserviceable while work on it is not signed, a discrepancy is open, or a limit of a part is passed.

14 CFR 91.405, 91.407(a); 43.10(a): a mandatory replacement limit; 33.70, R-GM305: a boundary not to be operated beyond.
"""

import io
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from engines.actions import LimitFacts, component_add, limit_add, limit_replace, part_done_add, part_fit, part_remove
from engines.actions.limits import OVERHAUL_STEPS
from engines.models import Component, Engine, PartLimit
from engines.part_due import part_standings_of
from inspections.queries import due_of, overrun_words
from logbook.actions import run_enter
from logbook.conditions import conditions_of
from logbook.maintenance.actions import work_open
from logbook.maintenance.rows import Discrepancy, DiscrepancyLine
from logbook.models import Concern, Person
from tests.factories import STARTED_AT, EngineFactory, RunFactory
from tests.logbook.screen_kit import signed_in, words
from tests.runs import facts
from tests.signed import entry_made


def test_R_91_407_a_work_that_is_not_signed_holds_its_engine(client: Client, engine: Engine, mechanic: Person) -> None:
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
    work_open(engine=engine, kind="work", facts={}, by=mechanic)
    found = conditions_of([engine, other])
    assert (found[engine.pk].label, found[other.pk].label) == ("Unserviceable", "Serviceable")
    assert found[engine.pk].reasons == ("Work 1: Maintenance is begun and not signed",)
    signed_in(client, mechanic)
    for address in (reverse("engine_list"), reverse("engine_detail", args=[engine.pk])):
        assert "Work 1: Maintenance is begun and not signed" in words(client.get(address))


def test_R_91_405_an_open_discrepancy_holds_its_engine_and_a_deferred_one_does_not(
    engine: Engine, mechanic: Person
) -> None:
    entry = entry_made(engine, {}, mechanic, STARTED_AT.date())
    about = {"operator": engine.operator, "engine": engine, "entry": entry, "basis": "No leak allowed"}
    leak = Discrepancy.objects.create(number=1, text="Oil leak.", **about)
    DiscrepancyLine.objects.create(discrepancy=leak, entry=entry, state="open")
    assert conditions_of([engine])[engine.pk].reasons == ("Oil leak (discrepancy 1)",)
    later = entry_made(engine, {}, mechanic, STARTED_AT.date())
    DiscrepancyLine.objects.create(discrepancy=leak, entry=later, state="deferred")
    assert conditions_of([engine])[engine.pk].is_serviceable


DAY = timedelta(days=1)
SOURCE = {"source": "Invented limitations, chapter 5", "source_revision": "3"}


def disc_on(engine: Engine, by: Person, **brought: Any) -> Component:
    """Fit a disc to an engine."""
    told = {"part_number": "D-1", "serial": engine.serial, "description": "Disc", "opening_basis": "invented"}
    disc = component_add(operator=engine.operator, **(told | brought))
    part_fit(component=disc, engine=engine, position="disc", at=STARTED_AT - DAY, by=by)
    return disc


def limit_of(disc: Component, by: Person, amount: int = 10, *, kind: str = "life", **told: Any) -> PartLimit:
    """Give the part number a limit, in cycles unless said otherwise."""
    parameter, facts_ = told.pop("parameter", "cycles"), {"unit": "count"} | SOURCE | told
    named = {"operator": disc.operator, "part_number": disc.part_number, "parameter": parameter}
    return limit_add(**named, kind=kind, facts=LimitFacts(amount, **facts_), by=by)


def reasons_of(engine: Engine) -> tuple[str, ...]:
    return conditions_of([engine])[engine.pk].reasons


@pytest.mark.parametrize(
    ("kind", "past", "said"),
    [
        ("life", (9, 0), ()),
        ("life", (10, 0), ("Limit reached: Disc D-1 TB-0001 (life limit), 0 full cycles left",)),
        ("life", (11, 0), ("Overrun: Disc D-1 TB-0001 (life limit), 1 full cycle over",)),
        ("life", (12, 2), ()),
        ("life", (13, 2), ("Overrun: Disc D-1 TB-0001 (life limit), 3 full cycles over",)),
        ("overhaul", (11, 0), ("Overrun: Disc D-1 TB-0001 (overhaul interval), 1 full cycle over",)),
        ("inspection", (11, 0), ("Overrun: Disc D-1 TB-0001 (inspection interval), 1 full cycle over",)),
    ],
)
def test_R_43_10_a_a_part_at_its_limit_holds_its_engine(
    kind: str, past: tuple[int, int], said: tuple[str, ...], engine: Engine, mechanic: Person
) -> None:
    """A limit of 10 full cycles, of which so many are used, and so many granted as tolerance."""
    used, tolerance = past
    limit_of(disc_on(engine, mechanic, brought_cycles=used), mechanic, kind=kind, tolerance=tolerance)
    assert reasons_of(engine) == said
    assert conditions_of([engine])[engine.pk].is_serviceable == (not said)


def test_a_part_in_a_module_holds_the_engine_of_the_module_and_no_other(engine: Engine, mechanic: Person) -> None:
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
    module = component_add(operator=engine.operator, part_number="M-1", serial="1", opening_basis="invented")
    disc = component_add(
        operator=engine.operator, part_number="D-1", serial="1", opening_basis="invented", brought_cycles=11
    )
    limit_of(disc, mechanic)
    part_fit(component=disc, parent=module, position="disc", at=STARTED_AT - 2 * DAY, by=mechanic)
    assert reasons_of(engine) == ()
    part_fit(component=module, engine=engine, position="module", at=STARTED_AT - DAY, by=mechanic)
    assert len(reasons_of(engine)) == 1
    assert reasons_of(other) == ()
    part_remove(component=module, at=STARTED_AT, by=mechanic, control="1")
    assert reasons_of(engine) == ()


def test_R_43_2_a_an_overhaul_releases_the_engine_and_a_life_is_never_begun_anew(
    engine: Engine, mechanic: Person
) -> None:
    disc = disc_on(engine, mechanic, brought_cycles=11)
    life, overhaul = limit_of(disc, mechanic, 100), limit_of(disc, mechanic, kind="overhaul")
    newer = limit_replace(limit=overhaul, facts=LimitFacts(10, "count", "Invented limitations", "4"), by=mechanic)
    assert len(reasons_of(engine)) == 1
    met = {"reference": "Manual 72-30", "tested_by": "Cell run 7", "steps": OVERHAUL_STEPS}
    part_done_add(component=disc, limit=newer, at=STARTED_AT, by=mechanic, **met)
    assert reasons_of(engine) == ()
    RunFactory.create_batch(10, engine=engine, started_at=STARTED_AT + DAY, cycles=1)
    assert reasons_of(engine) == ("Limit reached: Disc D-1 TB-0001 (overhaul interval), 0 full cycles left",)
    limit_replace(limit=life, facts=LimitFacts(20, "count", "Invented limitations", "4"), by=mechanic)
    assert "Overrun: Disc D-1 TB-0001 (life limit), 1 full cycle over" in reasons_of(engine)


def test_a_calendar_limit_whose_first_day_is_not_known_is_no_good_news(engine: Engine, mechanic: Person) -> None:
    limit_of(disc_on(engine, mechanic), mechanic, 24, parameter="calendar", unit="months")
    words_ = "Disc D-1 TB-0001 (life limit) goes by the calendar, and the day from which it counts is not recorded"
    assert reasons_of(engine) == (f"Not known: {words_}",)


def test_a_calendar_limit_is_told_in_days(engine: Engine, mechanic: Person) -> None:
    disc = disc_on(engine, mechanic, made_on=timezone.localdate() - timedelta(days=33))
    limit_of(disc, mechanic, 30, parameter="calendar", unit="days")
    assert reasons_of(engine) == ("Overrun: Disc D-1 TB-0001 (life limit), 3 days over",)


def test_a_run_beyond_a_limit_is_recorded_and_put_to_the_director(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    limit_of(disc_on(engine, mechanic, brought_cycles=9), mechanic)
    run_enter(engine=engine, facts=facts(typed_cycles=1), by=mechanic)
    assert not Concern.objects.filter(kind="overdue").exists()
    page = words(signed_in(client, mechanic).get(reverse("run_record", args=[engine.pk])))
    said = "Limit reached: Disc D-1 TB-0001 (life limit), 0 full cycles left"
    assert "TB-0001 is unserviceable. What was run is a fact and is recorded all the same" in page
    assert said in page
    run_enter(engine=engine, facts=facts(typed_cycles=1, started_at=STARTED_AT + timedelta(hours=3)), by=mechanic)
    concern = Concern.objects.get(kind="overdue")
    assert (concern.about, concern.text) == ("Disc D-1 TB-0001", f"when the run began: {said}")
    late = facts(typed_cycles=1, started_at=STARTED_AT - timedelta(hours=3))
    run_enter(engine=engine, facts=late, by=mechanic)
    assert Concern.objects.filter(kind="overdue").count() == 1  # before it, the disc had a cycle left


def test_what_a_run_found_is_told_of_the_parts_that_ran_then(engine: Engine, mechanic: Person) -> None:
    """The disc is fitted elsewhere since, and was overhauled since; the run that arrives late was beyond its limit."""
    disc = disc_on(engine, mechanic, brought_cycles=12)
    overhaul = limit_of(disc, mechanic, kind="overhaul")
    part_remove(component=disc, at=STARTED_AT + DAY, by=mechanic, control="1")
    met = {"reference": "Manual", "tested_by": "Cell run 7", "steps": OVERHAUL_STEPS}
    part_done_add(component=disc, limit=overhaul, at=STARTED_AT + 2 * DAY, by=mechanic, **met)
    run_enter(engine=engine, facts=facts(typed_cycles=1), by=mechanic)
    run_enter(engine=engine, facts=facts(typed_cycles=1, started_at=STARTED_AT + 2 * DAY), by=mechanic)
    found = Concern.objects.filter(kind="overdue").values_list("text", flat=True)
    assert list(found) == [
        "when the run began: Overrun: Disc D-1 TB-0001 (overhaul interval), 2 full cycles over",
    ]


def test_the_engine_says_so_on_its_screens_by_rest_and_on_paper(
    client: Client, engine: Engine, mechanic: Person
) -> None:
    limit_of(disc_on(engine, mechanic, brought_cycles=11), mechanic)
    said = "Overrun: Disc D-1 TB-0001 (life limit), 1 full cycle over"
    signed_in(client, mechanic)
    for address in (reverse("engine_list"), reverse("engine_detail", args=[engine.pk])):
        page = words(client.get(address))
        assert "Unserviceable" in page
        assert said in page
        assert "Next due: Disc D-1 TB-0001 : 1 full cycle over; overdue" in page
    condition = client.get(reverse("api:engine-detail", args=[engine.pk])).json()["condition"]
    assert (condition["label"], condition["reasons"]) == ("Unserviceable", [said])
    paper = client.get(reverse("open_items_print", args=[engine.pk]), {"paper": "a4"}).content
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(paper)).pages).split())
    assert said in text


def test_a_card_names_the_part_that_runs_out_first(client: Client, engine: Engine, mechanic: Person) -> None:
    disc = disc_on(engine, mechanic, brought_cycles=7)
    limit_of(disc, mechanic)
    limit_of(disc, mechanic, 100, parameter="starts")
    assert "Next due: Disc D-1 TB-0001 : 3 full cycles left, 100 starts left" in words(
        signed_in(client, mechanic).get(reverse("engine_list"))
    )


def test_parts_of_many_engines_are_read_in_two_queries(engine: Engine, mechanic: Person) -> None:
    """The stays with their parts, and the limits with what was done for them."""
    others = [
        EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial=f"TB-1{k}")
        for k in range(5)
    ]
    discs = [disc_on(other, mechanic, brought_cycles=11) for other in (engine, *others)]
    limit_of(discs[0], mechanic)
    with CaptureQueriesContext(connection) as asked:
        found = part_standings_of([engine, *others], timezone.localdate())
    assert len(asked) == 2
    assert sorted(overrun_words(found[e.pk][0])[:24] for e in (engine, *others)) == ["Overrun: Disc D-1 TB-000"] + [
        f"Overrun: Disc D-1 TB-1{k} " for k in range(5)
    ]
    assert due_of([engine]).overdue(engine)

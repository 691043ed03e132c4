"""An engine is Unserviceable while work on it is not signed, or a discrepancy is open (14 CFR 91.405, 91.407(a))."""

from django.test import Client
from django.urls import reverse

from engines.models import Engine
from logbook.conditions import conditions_of
from logbook.maintenance.actions import work_open
from logbook.maintenance.rows import Discrepancy, DiscrepancyLine
from logbook.models import Person
from tests.factories import STARTED_AT, EngineFactory
from tests.logbook.screen_kit import signed_in, words
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

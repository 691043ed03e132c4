"""The entries of the logbook, and one of them as it stands."""

import io
from typing import Any

from django.test import Client
from django.urls import reverse

from engines.models import Engine
from logbook.actions import trace_enter
from logbook.models import Person
from tests.factories import EngineFactory
from tests.logbook.screen_kit import recording_csv, run_with_inspection, signed_in, words
from tests.signed import run_signed


def test_entries_are_listed_newest_first_and_narrowed(client: Client, engine: Engine, mechanic: Person) -> None:
    run = run_with_inspection(engine, mechanic)
    trace_enter(run=run, file=io.BytesIO(recording_csv()), name="run.csv", by=mechanic)
    run_signed(run, mechanic)
    other: Engine = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="ZZ-9")
    run_with_inspection(other, mechanic)
    address = reverse("entry_list")
    page = words(signed_in(client, mechanic).get(address))
    assert page.index("Entry 3") < page.index("Entry 2") < page.index("Entry 1")
    assert "3 of 3 shown." in page
    assert "2 of 2 shown, of 3 kept." in words(client.get(address, {"engine": engine.pk}))
    assert "0 of 0 shown, of 3 kept." in words(client.get(address, {"from": "2026-05-05"}))
    assert "No entries answer to this." in words(client.get(address, {"kind": "inspection"}))


def test_one_screen_finds_an_entry(
    client: Client, engine: Engine, mechanic: Person, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    run_with_inspection(engine, mechanic)
    signed_in(client, auditor)
    asked = {
        "serial": "tb-0001",
        "number": "1",
        "person": mechanic.pk,
        "kind": "exceedance",
        "words": "770",
        "from": "2026-05-04",
    }
    with django_assert_max_num_queries(10):
        response = client.get(reverse("entry_list"), asked)
    page = words(response)
    assert "1 of 1 shown." in page
    for label in ("Serial number holds", "Entry number", "From", "To", "Signed by", "Kind", "Words in the text"):
        assert label in page
    assert "No entries answer to this." in words(client.get(reverse("entry_list"), {"words": "nowhere"}))


def test_an_engine_asked_for_by_the_address_is_named_and_kept(client: Client, engine: Engine, mechanic: Person) -> None:
    run_with_inspection(engine, mechanic)
    response = signed_in(client, mechanic).get(reverse("entry_list"), {"engine": engine.pk, "kind": "run"})
    assert "Only entries of engine TB-0001 . Of every engine" in words(response)
    markup = response.content.decode()
    assert f'<input type="hidden" name="engine" value="{engine.pk}"' in markup
    assert 'href="?engine=&amp;kind=run&amp;page=1"' in markup


def test_a_number_that_is_none_is_refused_in_words(client: Client, engine: Engine, mechanic: Person) -> None:
    page = words(signed_in(client, mechanic).get(reverse("entry_list"), {"number": "one"}))
    assert "Enter a whole number." in page


def test_an_entry_tells_what_prints(client: Client, engine: Engine, mechanic: Person) -> None:
    run_with_inspection(engine, mechanic)
    response = signed_in(client, mechanic).get(reverse("entry_detail", args=[1]))
    page = words(response)
    certificate = mechanic.certificates.get()
    for text in (
        "Entry 1: Ground run recorded",
        "Serial TB-0001, type Testbird",
        "fitted to: test stand, position: not recorded",
        "Run time 0.4 h, time in service 0.0 h, starts 0, cycles 0",
        "Interstage turbine temperature was above 700 °C for 20 s, peak 770 °C: area B",
        "Inspection 1: Hot section inspection (area B), before the next flight",
        "Limits revision 1. Source: invented for the tests. In force from: not recorded.",
        "Reading written down ITT, running: 770 °C, 20 s",
        "It approves nothing for return to service.",
        f"Signed by {mechanic} ({mechanic.username}), Mechanic",
        f"Certificate {certificate.kind}, number {certificate.number}",
    ):
        assert text in page
    markup = response.content.decode()
    for paper in ("a4", "letter"):
        assert f'href="{reverse("entry_print", args=[1])}?paper={paper}"' in markup

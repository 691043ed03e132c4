"""An entry's history: times as stated and received, late or not, what came before and after, the files."""

import io
from datetime import UTC, date, datetime
from typing import Any

import pytest
import time_machine
from django.test import Client, override_settings
from django.urls import reverse

from engines.models import Engine, Run
from logbook.actions import trace_enter
from logbook.entry_history import History, days_late, printed_judgement
from logbook.models import Entry, Person
from tests.logbook.screen_kit import recording_csv, run_with_inspection, signed_in, words
from tests.signed import entry_made, run_signed


@pytest.mark.parametrize(
    ("signed", "late"),
    [
        (datetime(2026, 5, 7, 23, 59, tzinfo=UTC), None),
        (datetime(2026, 5, 8, 0, 0, tzinfo=UTC), 4),
        (datetime(2026, 5, 3, 0, 0, tzinfo=UTC), None),
    ],
)
def test_an_entry_is_late_after_so_many_days(signed: datetime, late: int | None) -> None:
    assert days_late(date(2026, 5, 4), signed) == late


@override_settings(TIME_ZONE="Pacific/Auckland")
def test_the_day_of_signing_is_the_operators() -> None:
    assert days_late(date(2026, 5, 4), datetime(2026, 5, 7, 13, 0, tzinfo=UTC)) == 4


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a run recorded on its day, whose trace came ten days later."""
    with time_machine.travel(datetime(2026, 5, 4, 12, 0, tzinfo=UTC)):
        run = run_with_inspection(engine, mechanic)
    with time_machine.travel(datetime(2026, 5, 14, 12, 0, tzinfo=UTC)):
        trace_enter(run=run, file=io.BytesIO(recording_csv()), name="late.csv", by=mechanic)
        run_signed(run, mechanic)
    return Run.objects.get(pk=run.pk)


def entry_page(client: Client, number: int) -> str:
    return words(client.get(reverse("entry_detail", args=[number])))


def test_entries_and_judgements_of_a_run_lead_to_each_other(
    client: Client, run: Run, auditor: Person, django_assert_max_num_queries: Any
) -> None:
    signed_in(client, auditor)
    with django_assert_max_num_queries(10):
        first = entry_page(client, 1)
    second = entry_page(client, 2)
    assert "Earlier entries about this run none" in first
    assert "Later entries about this run Entry 2 : Ground run recorded" in first
    assert "Earlier entries about this run Entry 1 : Ground run recorded" in second
    assert "Inspections of this run Inspection 1 : Open" in first
    assert "; replaced by a later one limits revision 1 on what was written down this entry ITT, running" in first
    assert "; it stands limits revision 1 on late.csv entry 2" in first
    assert "replaced by a later one limits revision 1 on what was written down entry 1" in second


def test_times_are_told_apart_and_what_is_late_is_flagged(client: Client, run: Run, auditor: Person) -> None:
    signed_in(client, auditor)
    first, second = entry_page(client, 1), entry_page(client, 2)
    assert "Run began, as stated 2026-05-04 07:30 UTC" in first
    assert "By a device's clock not recorded" in first
    assert "Run received here 2026-05-04 12:00:00 UTC, from" in first
    assert "Entry signed 2026-05-14 12:00:00 UTC" in second
    assert "Late:" not in first
    assert "Late: signed 10 days after the day it is about. More than 3 days are flagged." in second


def test_the_files_are_there_with_their_digests_in_full(
    client: Client, run: Run, auditor: Person, mechanic: Person
) -> None:
    page = signed_in(client, auditor).get(reverse("entry_detail", args=[2])).content.decode()
    trace = run.traces.get()
    assert f'<span class="digest">{trace.original_sha256}</span>' in page
    assert f'href="{reverse("trace_file", args=[run.pk, trace.pk])}" download' in page
    gone = {"kind": "trace", "name": "gone.csv", "samples": 1, "sha256": "0" * 64, "unused": []}
    entry_made(
        run.engine, Entry.objects.get(number=2).body | {"evidence": [gone]}, mechanic, date(2026, 5, 14), run=run
    )
    assert "gone.csv, SHA-256 " + "0" * 64 + " . The file is no longer kept." in entry_page(client, 3)


def test_an_entry_without_a_run_has_a_short_history(run: Run, auditor: Person) -> None:
    entry = Entry.objects.get(number=1)
    entry.run = None
    history = History(entry, auditor)
    assert (history.others, history.judgements, history.inspections, history.files) == ([], [], [], [])


def test_an_entry_signed_before_any_judgement_prints_none(run: Run) -> None:
    entry = Entry.objects.get(number=1)
    entry.signed_at = datetime(2020, 1, 1, tzinfo=UTC)
    assert printed_judgement(entry, list(run.judgements.all())) is None


def test_an_auditor_meets_nothing_that_writes(client: Client, run: Run, auditor: Person) -> None:
    signed_in(client, auditor)
    judgement = run.judgements.last()
    assert judgement is not None
    for address in (
        reverse("engine_list"),
        reverse("engine_detail", args=[run.engine_id]),
        reverse("engine_times", args=[run.engine_id]),
        reverse("engine_starts", args=[run.engine_id]),
        reverse("run_detail", args=[run.pk]),
        reverse("excursion_source", args=[run.pk, judgement.pk, 1]),
        reverse("usage_source", args=[run.pk, judgement.pk]),
        reverse("inspection_list"),
        reverse("inspection_detail", args=[run.inspections.get().pk]),
        reverse("entry_list"),
        reverse("entry_detail", args=[1]),
        reverse("limits_list"),
        reverse("limits_detail", args=[judgement.revision_id]),
    ):
        page = client.get(address).content.decode()
        main = page.split("<main")[1].split("</main>")[0]
        of_inspections = ("/sign/", "/begin/", "/findings/", "/assign/")
        for act in (f"/{run.engine_id}/record/", "/trace/", "/adopt/", "/enter/", *of_inspections):
            assert f'{act}"' not in main, (address, act)
        posts = [part.split(">")[0] for part in main.split("<form")[1:] if "post" in part.split(">")[0]]
        assert [form for form in posts if "/views/" not in form] == [], address

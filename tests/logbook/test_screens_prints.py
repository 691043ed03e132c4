"""Printing an entry and an engine's log: the right entries, the picture of the screen, and nothing lost later."""

import datetime
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from engines.evidence import RunFacts
from engines.models import Engine, Run, RunTrace
from inspections import states
from inspections.actions import finding_add
from logbook.actions import inspection_sign, run_enter, trace_enter
from logbook.models import Entry, Person
from logbook.pictures import PRINTED, PRINTED_CURVE, judged_run
from logbook.printing.paper import PAPERS
from logbook.views.runs import WIDE
from tests.factories import STARTED_AT
from tests.logbook.printing.reading import pages_of, reader_of
from tests.logbook.screen_kit import recording_file, signed_in, words
from tests.signed import run_signed, signing_of

Show = Callable[[str], Any]


@pytest.fixture
def run(engine: Engine, mechanic: Person) -> Run:
    """Return a run with a recorded trace: entry 1 without it, entry 2 with it."""
    run = run_enter(engine=engine, facts=RunFacts(Run().pk, Run.Kind.FLIGHT, STARTED_AT), by=mechanic)
    run_signed(run, mechanic)
    trace_enter(run=run, file=recording_file(), name="run.csv", by=mechanic)
    run_signed(run, mechanic)
    return run


@pytest.fixture
def show(client: Client, auditor: Person) -> Show:
    """Return a function that gets an address as the auditor."""
    return signed_in(client, auditor).get


def entry_address(number: int, paper: str = "a4") -> str:
    return f"{reverse('entry_print', args=[number])}?paper={paper}"


@pytest.mark.parametrize("paper", PAPERS)
def test_an_entry_is_shown_as_pdf(paper: str, run: Run, show: Show) -> None:
    response = show(entry_address(2, paper))
    assert (response.status_code, response["Content-Type"]) == (200, "application/pdf")
    assert response["Content-Disposition"] == 'inline; filename="entry-2-TB-0001.pdf"'
    size = reader_of(response.content).pages[0].mediabox
    assert float(size.height) == pytest.approx(PAPERS[paper].height, abs=0.01)
    text = " ".join(pages_of(response.content))
    assert "Entry 2: Flight recorded" in text
    assert "ITT, running" in text


def test_the_print_carries_the_picture_of_the_screen(run: Run, show: Show) -> None:
    text = " ".join(pages_of(show(entry_address(2)).content))
    judged = judged_run(run.judgements.get(is_current=True))
    chart = next(chart for chart in judged.charts if chart.name == "ITT, running")
    picture = judged.picture(chart, *PRINTED)
    assert picture is not None
    assert [line for line in picture.texts if line not in text] == []
    on_screen = words(show(reverse("run_detail", args=[run.pk])))
    peak = next(line for line in picture.texts if line.startswith("Peak"))
    assert peak in on_screen


def test_the_print_carries_the_duration_curve_of_the_screen(run: Run, show: Show) -> None:
    text = " ".join(pages_of(show(entry_address(2)).content))
    judged = judged_run(run.judgements.get(is_current=True))
    chart = next(chart for chart in judged.charts if chart.name == "ITT, running")
    curves = list(judged.curves(chart, PRINTED_CURVE))
    assert len(curves) == 1
    assert [line for line in curves[0].texts if line not in text] == []
    assert "Area B" in text
    assert f"Drawn from {judged.caption(chart)}; every figure is of the samples" in text


def test_the_screen_of_an_entry_shows_the_pictures_and_the_arithmetic_of_its_print(
    run: Run, show: Show, django_assert_max_num_queries: Any
) -> None:
    with django_assert_max_num_queries(10):
        response = show(reverse("entry_detail", args=[2]))
    text = " ".join(pages_of(show(entry_address(2)).content))
    page, markup = words(response), response.content.decode()
    judged = judged_run(run.judgements.get(is_current=True))
    chart = next(chart for chart in judged.charts if chart.name == "ITT, running")
    picture, (curve,) = judged.picture(chart, *WIDE), judged.curves(chart, PRINTED_CURVE)
    assert picture is not None
    for line in (*picture.texts, *curve.texts, f"Drawn from {judged.caption(chart)}; every figure"):
        assert line in page, line
    for shown in (page, text):
        assert shown.index("Measured Interstage") < shown.index("Peak 770 °C Time") < shown.index("Area at worst B")
    assert markup.count('<figure class="drawing">') == 2
    assert " style=" not in markup
    for line in ("Together 20.1 s above 700 °C.", "Area A: 19.8 s above 720 °C, allowed no time: 19.8 s over"):
        assert line in page
        assert line in text
    assert '<figure class="drawing">' not in show(reverse("entry_detail", args=[1])).content.decode()


def test_later_evidence_leaves_an_earlier_entry_as_it_was(run: Run, show: Show, mechanic: Person) -> None:
    before = Entry.objects.get(number=2).document
    trace_enter(run=run, file=recording_file("later.csv", peak=650.0), name="later.csv", by=mechanic)
    run_signed(run, mechanic)
    assert Entry.objects.get(number=2).document == before
    text = " ".join(pages_of(show(entry_address(2)).content))
    assert "SUPERSEDED by entry 3" in text
    older, newer = text.split("End of entry 2.")
    assert "This entry corrects entry 2" in newer
    assert "later.csv" in newer
    assert "This entry corrects entry 2" not in older


def test_an_entry_prints_even_where_its_trace_is_gone(run: Run, show: Show) -> None:
    trace = RunTrace.objects.get()
    Path(trace.packed.path).unlink()
    text = " ".join(pages_of(show(entry_address(2)).content))
    assert "No picture: no recorded trace of this chart is at hand." in text
    assert trace.original_sha256[:16] in text


def test_an_unknown_paper_is_not_there(run: Run, show: Show) -> None:
    assert show(entry_address(2, "a5")).status_code == 404


@pytest.mark.parametrize(
    ("asked", "numbers", "name"),
    [
        ("", [1, 2, 3], "log-TB-0001-all.pdf"),
        ("?from=2026-05-05", [3], "log-TB-0001-2026-05-05.pdf"),
        ("?from=2026-05-04&to=2026-05-04&paper=letter", [1, 2], "log-TB-0001-2026-05-04-2026-05-04.pdf"),
        ("?to=2026-05-03", [], "log-TB-0001-2026-05-03.pdf"),
    ],
)
def test_a_log_holds_the_entries_of_its_days(
    *, asked: str, numbers: list[int], name: str, run: Run, show: Show, mechanic: Person
) -> None:
    next_day = STARTED_AT + datetime.timedelta(days=1)
    again = run_enter(engine=run.engine, facts=RunFacts(Run().pk, Run.Kind.GROUND_RUN, next_day), by=mechanic)
    run_signed(again, mechanic)
    response = show(reverse("log_print", args=[run.engine_id]) + asked)
    assert response["Content-Disposition"] == f'inline; filename="{name}"'
    pages = pages_of(response.content)
    text = " ".join(pages)
    assert [number for number in (1, 2, 3) if f"Entry {number}: " in text] == numbers
    assert f"Entries {len(numbers)} of 3 of this engine" in pages[0]
    assert f"page {len(pages)} of {len(pages)}" in pages[-1]


def test_a_log_is_refused_where_its_days_are_turned_round(run: Run, show: Show) -> None:
    response = show(reverse("log_print", args=[run.engine_id]) + "?from=2026-05-05&to=2026-05-01")
    assert response.status_code == 422
    assert "The last day lies before the first." in words(response)


def test_a_signed_inspection_prints_as_it_ended(run: Run, show: Show, mechanic: Person) -> None:
    inspection = run.inspections.get(chart="ITT, running")
    finding_add(inspection=inspection, text="Blade 3 is burnt", by=mechanic)
    entry = inspection_sign(
        inspection=inspection,
        by=mechanic,
        signing=signing_of(mechanic),
        outcome=states.NOT_APPROVED,
        extent="Borescope of the turbine.",
        completed_on=STARTED_AT.date(),
        given_to="Test Owner",
    )
    text = " ".join(pages_of(show(entry_address(entry.number)).content))
    for words_of in (
        f"Entry {entry.number}: {inspection.summary}",
        "1 Blade 3 is burnt Test Person",
        "Extent: Borescope of the turbine.",
        "Outcome Not approved for return to service Date work was completed 2026-05-04",
        "List of discrepancies given to Test Owner Second person not recorded",
        f"Certificate number {mechanic.certificates.get().number}",
    ):
        assert words_of in text
    assert "Approved for return" not in text

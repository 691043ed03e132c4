"""Print sets: what is chosen is what is printed, versions side by side; long ones in the background, for one person."""

import datetime
from collections.abc import Callable
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Component, Engine
from logbook import print_jobs, spool
from logbook.job_rows import KEPT_FOR
from logbook.models import Entry, Person, PrintJob
from logbook.print_jobs import PRINTS
from logbook.print_sets import Choice, chosen, sheets_of, with_versions
from logbook.seals import seal_make
from logbook.views import print_sets, prints
from tests.factories import STARTED_AT, ComponentFactory, EngineFactory
from tests.logbook.printing.bodies import inspection_entry, run_entry
from tests.logbook.printing.reading import pages_of, text_of
from tests.logbook.printing.test_sealing import said_by_poppler
from tests.logbook.screen_kit import signed_in, words
from tests.signed import entry_made

DAY = datetime.timedelta(days=1)
FIRST = STARTED_AT.date()

pytestmark = pytest.mark.usefixtures("folders")


@pytest.fixture
def folders(settings: Any, tmp_path: Path) -> None:
    """Keep keys and prints in a folder of the test's own."""
    settings.KEYS_DIR, settings.PRINTS_DIR = tmp_path / "keys", tmp_path / "prints"


@pytest.fixture
def part(engine: Engine) -> Component:
    """Return a part of the operator."""
    return ComponentFactory.create(operator=engine.operator, part_number="P-1", serial="S-77")


@pytest.fixture
def entries(engine: Engine, mechanic: Person, part: Component) -> list[Entry]:
    """Return seven entries; the fifth corrects the second, the sixth the fifth, the seventh is of another engine."""
    other = EngineFactory.create(operator=engine.operator, engine_type=engine.engine_type, serial="TB-0002")
    inspection = {"kind": Entry.Kind.INSPECTION, "component": part}
    made = [entry_made(engine, run_entry(), mechanic, FIRST)]
    made += [entry_made(engine, run_entry(title="Run as first written"), mechanic, FIRST + DAY)]
    made += [entry_made(engine, inspection_entry(), mechanic, FIRST + 2 * DAY, **inspection)]
    made += [entry_made(engine, run_entry(), mechanic, FIRST + 3 * DAY)]
    made += [entry_made(engine, run_entry(title="Run put right"), mechanic, FIRST + 4 * DAY, corrects=made[1])]
    made += [entry_made(engine, run_entry(title="Right now"), mechanic, FIRST + 5 * DAY, corrects=made[4])]
    return [*made, entry_made(other, run_entry(), mechanic, FIRST)]


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[UUID]:
    """Return the jobs that were started; none is printed by itself."""
    started: list[UUID] = []
    monkeypatch.setattr(spool.Spool, "start", lambda self, pk: started.append(pk))
    return started


@pytest.fixture
def auditing(client: Client, auditor: Person) -> Client:
    """Return the client of the auditor."""
    return signed_in(client, auditor)


def numbers_in(pages: list[str]) -> list[int]:
    """Return the entries of a set in the order in which they begin."""
    begun = [(page, number) for page in pages for number in range(1, 8) if f" Entry {number}: " in page]
    return [number for _, number in begun]


@pytest.mark.parametrize(
    ("asked", "numbers"),
    [
        ({}, [1, 2, 5, 6, 3, 4, 7]),
        ({"serial": "tb-0002"}, [7]),
        ({"serial": "TB-0001", "last": str(FIRST)}, [1]),
        ({"first": str(FIRST + 3 * DAY), "last": str(FIRST + 3 * DAY)}, [4]),
        # One version is chosen, all are printed, each beside the one that it corrects.
        ({"first": str(FIRST + 4 * DAY), "last": str(FIRST + 4 * DAY)}, [2, 5, 6]),
        ({"kinds": ["inspection"]}, [3]),
        ({"part": "s-77"}, [3]),
    ],
)
def test_what_is_chosen_is_printed(
    asked: dict[str, Any], numbers: list[int], entries: list[Entry], auditing: Client
) -> None:
    response = auditing.post(reverse("print_make"), {"paper": "a4", **asked})
    assert response["Content-Type"] == "application/pdf"
    pages = pages_of(response.content)
    assert numbers_in(pages[1:]) == numbers
    assert all(f"page {n} of {len(pages)}" in page for n, page in enumerate(pages, 1))
    assert f"Entries {len(numbers)} of 7 in the record" in pages[0]


def test_versions_name_each_other(entries: list[Entry], auditing: Client) -> None:
    pages = pages_of(auditing.get(reverse("entry_print", args=[5])).content)
    assert numbers_in(pages) == [2, 5, 6]
    text = " ".join(pages)
    assert "SUPERSEDED by entry 5." in text
    assert "This entry corrects entry 2 and stands in its place" in text
    assert "SUPERSEDED by entry 6." in text
    log = pages_of(auditing.get(reverse("log_print", args=[entries[0].engine_id])).content)
    assert numbers_in(log[1:]) == [1, 2, 5, 6, 3, 4]
    assert "Run: Run as first written (superseded by entry 5)" in log[0]


def test_a_long_log_is_led_to_the_background(
    entries: list[Entry], auditing: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(prints, "MOST_AT_ONCE", 5)
    address = reverse("log_print", args=[entries[0].engine_id])
    response = auditing.get(f"{address}?from={FIRST}&paper=letter", follow=True)
    assert response.redirect_chain == [(f"{reverse('print_set')}?serial=TB-0001&paper=letter&first={FIRST}", 302)]
    assert "This log has 6 entries." in words(response)


def test_a_print_carries_the_code_and_the_address_of_its_entry(entries: list[Entry], auditing: Client) -> None:
    text = text_of(auditing.get(reverse("entry_print", args=[4])).content)
    assert "To check at http://testserver/check/" in text
    assert entries[3].leaf_hash in text.replace(" ", "")


def test_the_address_of_the_settings_comes_first(entries: list[Entry], auditing: Client, settings: Any) -> None:
    settings.ADDRESS = "https://log.example.org"
    text = text_of(auditing.get(reverse("entry_print", args=[4])).content)
    assert "To check at https://log.example.org/check/" in text


def test_the_same_entry_prints_the_same_but_for_the_stamp(entries: list[Entry], auditing: Client) -> None:
    def body() -> list[str]:
        pages = pages_of(auditing.get(reverse("entry_print", args=[4])).content)
        return [page.partition("Printed 20")[0] + page.partition("Printed by")[2] for page in pages]

    before = body()
    entry_made(entries[0].engine, run_entry(), entries[0].signed_by, FIRST)  # type: ignore[arg-type]
    assert body() == before


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"serial": "TB-9"}, "There is no engine with the serial “TB-9”."),
        ({"part": "none"}, "There is no part with the serial “none”."),
        ({"first": "2026-05-05", "last": "2026-05-01"}, "The last day lies before the first."),
        ({"first": "2030-01-01"}, "No entry answers to this."),
        ({"paper": "a5"}, "a5"),
    ],
)
def test_what_cannot_be_printed_is_said(
    asked: dict[str, str], said: str, entries: list[Entry], auditing: Client
) -> None:
    response = auditing.post(reverse("print_make"), {"paper": "a4", **asked})
    assert response.status_code == 422
    assert said in words(response)


def test_an_address_fills_the_sheet_in(entries: list[Entry], auditing: Client) -> None:
    response = auditing.get(reverse("print_set") + "?serial=TB-0001&first=2026-05-05")
    assert 'value="TB-0001"' in response.content.decode()
    assert 'value="2026-05-05"' in response.content.decode()


@pytest.fixture
def job(
    entries: list[Entry],
    auditing: Client,
    started: list[UUID],
    monkeypatch: pytest.MonkeyPatch,
    django_capture_on_commit_callbacks: Callable[..., Any],
) -> PrintJob:
    """Return a set that waits to be printed in the background."""
    monkeypatch.setattr(print_sets, "AT_ONCE", 3)
    with django_capture_on_commit_callbacks(execute=True):
        response = auditing.post(reverse("print_make"), {"paper": "letter", "serial": "TB-0001"})
    job = PrintJob.objects.get()
    assert response["Location"] == reverse("print_job", args=[job.pk])
    assert started == [job.pk]
    return job


def test_a_long_set_is_printed_in_the_background(job: PrintJob, auditing: Client, tmp_path: Path) -> None:
    assert job.person.operator is not None
    seal_make(job.person.operator)
    address = reverse("print_job", args=[job.pk])
    assert "Waiting. 0 of 6 entries so far." in words(auditing.get(address))
    assert auditing.get(reverse("print_job_file", args=[job.pk])).status_code == 404
    PRINTS.run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.done, job.problem) == ("done", 6, "")
    assert f"Done. 6 entries on {job.pages} pages." in words(auditing.get(address))
    content = b"".join(auditing.get(reverse("print_job_file", args=[job.pk])))
    pages = pages_of(content)
    assert (len(pages), numbers_in(pages[1:])) == (job.pages, [1, 2, 5, 6, 3, 4])
    assert "Signature is Valid." in said_by_poppler(content, tmp_path)
    assert [file.name for file in job.file.parent.iterdir()] == [job.file.name]


def test_progress_is_asked_for_as_a_fragment_until_it_is_over(job: PrintJob, auditing: Client) -> None:
    def fragment() -> str:
        return auditing.get(reverse("print_job", args=[job.pk]), headers={"HX-Request": "true"}).content.decode()

    assert 'hx-trigger="every 2s"' in fragment()
    assert "<html" not in fragment()
    PrintJob.objects.update(state="working", done=4, heard_at=timezone.now())
    assert "4 of 6 entries so far." in fragment()
    PrintJob.objects.update(state="done", pages=9)
    assert "hx-trigger" not in fragment()


def test_how_far_it_is_is_noted_on_the_way(job: PrintJob, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spool, "TOLD_EVERY", 0.0)
    told: list[int] = []
    drawn = sheets_of

    def watched(*args: Any) -> Any:
        for sheet in drawn(*args):
            told.append(PrintJob.objects.get().done)
            yield sheet

    monkeypatch.setattr(print_jobs, "sheets_of", watched)
    PRINTS.run(job.pk)
    assert told == [0, 1, 2, 3, 4, 5]


def test_a_set_is_its_askers_alone(job: PrintJob, client: Client, director: Person) -> None:
    PRINTS.run(job.pk)
    signed_in(client, director)
    for name in ("print_job", "print_job_file"):
        assert client.get(reverse(name, args=[job.pk])).status_code == 404


def test_it_is_removed_after_a_day(job: PrintJob, auditing: Client, tmp_path: Path) -> None:
    PRINTS.run(job.pk)
    stray = job.file.with_name("stray.part")
    stray.touch()
    PrintJob.objects.update(asked_at=timezone.now() - KEPT_FOR - datetime.timedelta(seconds=1))
    assert auditing.get(reverse("print_job", args=[job.pk])).status_code == 404
    assert auditing.get(reverse("print_job_file", args=[job.pk])).status_code == 404
    PRINTS.expire()
    assert not PrintJob.objects.exists()
    assert list((tmp_path / "prints").iterdir()) == []


def test_two_processes_print_it_once(job: PrintJob, monkeypatch: pytest.MonkeyPatch) -> None:
    PrintJob.objects.update(state="working", heard_at=timezone.now(), done=2)
    PRINTS.run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.done) == ("working", 2)


def test_a_stopped_print_is_taken_up_by_the_next_look(job: PrintJob, auditing: Client, started: list[UUID]) -> None:
    address = reverse("print_job", args=[job.pk])
    PrintJob.objects.update(state="working", heard_at=timezone.now() - spool.SILENT / 2)
    auditing.get(address)
    assert started == [job.pk]
    PrintJob.objects.update(heard_at=timezone.now() - spool.SILENT * 2)
    auditing.get(address)
    assert started == [job.pk, job.pk]
    PRINTS.run(job.pk)
    assert PrintJob.objects.get().state == "done"


@pytest.mark.parametrize(
    ("error", "said"),
    [(DomainError("The key is broken.", code="key_unusable"), "The key is broken."), (OSError("full"), spool.FAILED)],
)
def test_a_failure_is_told_and_leaves_no_file(
    error: Exception, said: str, job: PrintJob, auditing: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*args: Any, **options: Any) -> int:
        raise error

    monkeypatch.setattr(print_jobs, "document_write", broken)
    PRINTS.run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.file.exists()) == ("failed", False)
    assert said in words(auditing.get(reverse("print_job", args=[job.pk])))


def test_nobody_fills_the_printer(job: PrintJob, auditing: Client) -> None:
    for _ in range(print_jobs.MOST_AT_WORK - 1):
        auditing.post(reverse("print_make"), {"paper": "a4"})
    response = auditing.post(reverse("print_make"), {"paper": "a4"})
    assert response.status_code == 422
    assert "3 sets of yours are being printed; wait for one of them." in words(response)
    assert PrintJob.objects.count() == print_jobs.MOST_AT_WORK


def test_a_thread_works_and_closes_its_connection(monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[str] = []
    monkeypatch.setattr(spool.Spool, "run", lambda self, pk: done.append(f"made {pk}"))
    monkeypatch.setattr(connection, "close", lambda: done.append("closed"))
    PRINTS._apart(UUID(int=1))
    assert done == [f"made {UUID(int=1)}", "closed"]


def test_versions_of_entries_that_nobody_corrected_are_themselves(entries: list[Entry], auditor: Person) -> None:
    assert with_versions(auditor, chosen(auditor, Choice(kinds=("inspection",)))) == [3]
    assert Choice.of(Choice(1, (2, 3), FIRST, None, ("run",)).kept()) == Choice(1, (2, 3), FIRST, None, ("run",))

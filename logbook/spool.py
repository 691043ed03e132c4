"""Printing in the background: a thread of the process that was asked, and another takes over where it was stopped.

No second program has to run beside the site. How far a job is stands in its row, so that any process can show it; a job
whose printer has not been heard of for a while is started again by the next look at it.
"""

import logging
import threading
import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Final
from uuid import UUID

from django.conf import settings
from django.db import connection, transaction
from django.db.models import Q
from django.utils import timezone

from engines.errors import DomainError
from logbook.models import Person, PrintJob
from logbook.press import press_for
from logbook.print_rows import KEPT_FOR
from logbook.print_sets import Choice, chosen, lines_of, set_cover, sheets_of, with_versions
from logbook.printing.contents import set_chapters
from logbook.printing.entry import EntrySheet
from logbook.printing.paper import paper_of
from logbook.printing.sealing import seal_file
from logbook.printing.sets import document_write

SILENT: Final = timedelta(seconds=90)  # after which nobody is taken to print a job any more
TOLD_EVERY: Final = 1.0  # between two notes of how far a job is [s]
MOST_AT_WORK: Final = 3  # jobs of one person
FAILED: Final = (
    "Something went wrong while it was printed. Ask for it again; if it fails again, tell whoever runs the site."
)

log = logging.getLogger(__name__)


def job_add(*, person: Person, choice: Choice, title: str, paper: str, address: str) -> PrintJob:
    """Have a set printed; return its row.

    Raises DomainError "enough_printing" where several of the person's are being printed already.
    """
    assert person.operator is not None
    jobs_expire()
    at_work = PrintJob.objects.filter(person=person, state__in=(PrintJob.State.WAITING, PrintJob.State.PRINTING))
    if at_work.count() >= MOST_AT_WORK:
        raise DomainError(
            f"{MOST_AT_WORK} sets of yours are being printed; wait for one of them.", code="enough_printing"
        )
    job = PrintJob.objects.create(
        operator=person.operator,
        person=person,
        choice=choice.kept(),
        title=title,
        paper=paper,
        address=address,
        entries=len(with_versions(person, chosen(person, choice))),
    )
    transaction.on_commit(lambda: start(job.pk))
    return job


def job_revive(job: PrintJob) -> None:
    """Start a job again where whoever printed it is gone."""
    if job.is_at_work and (job.heard_at or job.asked_at) < timezone.now() - SILENT:
        start(job.pk)


def start(pk: UUID) -> None:
    """Print a job in a thread of its own."""
    threading.Thread(target=_printed_apart, args=(pk,), name=f"print-{pk}", daemon=True).start()


def _printed_apart(pk: UUID) -> None:
    try:
        job_print(pk)
    finally:
        connection.close()


def job_print(pk: UUID) -> None:
    """Print a job, unless somebody else does; whatever goes wrong is kept in its row."""
    gone = Q(state=PrintJob.State.PRINTING, heard_at__lt=timezone.now() - SILENT)
    mine = PrintJob.objects.filter(Q(state=PrintJob.State.WAITING) | gone, pk=pk)
    if not mine.update(state=PrintJob.State.PRINTING, heard_at=timezone.now(), done=0):
        return
    job = PrintJob.objects.select_related("person__operator").get(pk=pk)
    try:
        pages = _print(job)
    except DomainError as error:
        _end(job, state=PrintJob.State.FAILED, problem=str(error)[:300])
    except Exception:
        log.exception("Print job %s failed.", pk)
        _end(job, state=PrintJob.State.FAILED, problem=FAILED)
    else:
        _end(job, state=PrintJob.State.DONE, done=job.entries, pages=pages)


def _end(job: PrintJob, **values: object) -> None:
    PrintJob.objects.filter(pk=job.pk).update(heard_at=timezone.now(), **values)


def _print(job: PrintJob) -> int:
    """Write the file of a job, complete or not at all; return how many pages it has."""
    person, choice = job.person, Choice.of(job.choice)
    numbers = with_versions(person, chosen(person, choice))
    press = press_for(person, job.paper, job.address)
    cover = set_cover(person, choice, numbers)
    sheets = _told(job, sheets_of(person, numbers, press.address))
    chapters = set_chapters(cover, lines_of(person, numbers), sheets, press.stamp)
    job.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    draft = job.file.with_suffix(".part")
    pages = document_write(chapters, paper=paper_of(job.paper), title=cover.title, to=draft)
    if press.seal is not None:
        seal_file(draft, press.seal)
    draft.replace(job.file)
    return pages


def _told(job: PrintJob, sheets: Iterator[EntrySheet]) -> Iterator[EntrySheet]:
    """Yield sheets, and note now and then how many there were."""
    told = time.monotonic()
    for count, sheet in enumerate(sheets, start=1):
        yield sheet
        if time.monotonic() - told >= TOLD_EVERY:
            told = time.monotonic()
            PrintJob.objects.filter(pk=job.pk).update(done=count, heard_at=timezone.now())


def jobs_expire() -> None:
    """Remove what was asked for more than a day ago, and every file whose row is gone."""
    PrintJob.objects.filter(asked_at__lt=timezone.now() - KEPT_FOR).delete()
    kept = {str(pk) for pk in PrintJob.objects.values_list("pk", flat=True)}
    for file in Path(settings.PRINTS_DIR).glob("*.p*"):
        if file.stem not in kept:
            file.unlink(missing_ok=True)

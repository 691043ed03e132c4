"""Sets of entries that are printed in the background."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from django.db import transaction

from engines.errors import DomainError
from logbook.models import Person, PrintJob
from logbook.press import press_for
from logbook.print_sets import Choice, chosen, lines_of, set_cover, sheets_of, with_versions
from logbook.printing.contents import set_chapters
from logbook.printing.entry import EntrySheet
from logbook.printing.paper import paper_of
from logbook.printing.sealing import seal_file
from logbook.printing.sets import document_write
from logbook.spool import Spool, Teller

MOST_AT_WORK: Final = 3  # jobs of one person


def job_add(*, person: Person, choice: Choice, title: str, paper: str, address: str) -> PrintJob:
    """Have a set printed; return its row.

    Raises DomainError "enough_printing" where several of the person's are being printed already.
    """
    assert person.operator is not None
    PRINTS.expire()
    if PrintJob.objects.filter(person=person, state__in=PrintJob.UNFINISHED).count() >= MOST_AT_WORK:
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
    transaction.on_commit(lambda: PRINTS.start(job.pk))
    return job


def _printed(job: PrintJob, to: Path, tell: Teller) -> dict[str, Any]:
    person, choice = job.person, Choice.of(job.choice)
    numbers = with_versions(person, chosen(person, choice))
    press = press_for(person, job.paper, job.address)
    cover = set_cover(person, choice, numbers)
    sheets = _told(sheets_of(person, numbers, press.address), tell)
    chapters = set_chapters(cover, lines_of(person, numbers), sheets, press.stamp)
    pages = document_write(chapters, paper=paper_of(job.paper), title=cover.title, to=to)
    if press.seal is not None:
        seal_file(to, press.seal)
    return {"done": job.entries, "pages": pages}


def _told(sheets: Iterator[EntrySheet], tell: Teller) -> Iterator[EntrySheet]:
    for count, sheet in enumerate(sheets, start=1):
        yield sheet
        tell(count)


PRINTS: Final = Spool(
    rows=lambda: PrintJob.objects.select_related("person__operator"),
    make=_printed,
)

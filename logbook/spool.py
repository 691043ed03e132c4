"""Making files in the background: a thread of the process that was asked, and another takes over where it was stopped.

No second program has to run beside the site. How far a job is stands in its row, so that any process can show it; a job
whose maker has not been heard of for a while is started again by the next look at it.
"""

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Any, Final, Generic, TypeVar
from uuid import UUID

from django.db import connection
from django.db.models import Q, QuerySet
from django.utils import timezone

from engines.errors import DomainError
from logbook.job_rows import KEPT_FOR, Job

SILENT: Final = timedelta(seconds=90)  # after which nobody is taken to make it any more
TOLD_EVERY: Final = 1.0  # between two notes of how far it is [s]
FAILED: Final = "Something went wrong. Ask for it again; if it fails again, tell whoever runs the site."

Kind = TypeVar("Kind", bound=Job)

log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Spool(Generic[Kind]):
    """Jobs of one kind.

    ``rows`` reads a job with what making it needs; ``make`` writes its file under the name it is given, and returns
    what else is kept in the row.
    """

    rows: Callable[[], QuerySet[Kind]]
    make: Callable[[Kind, Path, "Teller"], dict[str, Any]]

    def start(self, pk: UUID) -> None:
        """Make a job in a thread of its own."""
        threading.Thread(target=self._apart, args=(pk,), name=f"job-{pk}", daemon=True).start()

    def _apart(self, pk: UUID) -> None:
        try:
            self.run(pk)
        finally:
            connection.close()

    def revive(self, job: Kind) -> None:
        """Start a job again where whoever made it is gone."""
        if job.is_at_work and (job.heard_at or job.asked_at) < timezone.now() - SILENT:
            self.start(job.pk)

    def run(self, pk: UUID) -> None:
        """Make a job, unless somebody else does; whatever goes wrong is kept in its row."""
        gone = Q(state=Job.State.WORKING, heard_at__lt=timezone.now() - SILENT)
        mine = self.rows().filter(Q(state=Job.State.WAITING) | gone, pk=pk)
        if not mine.update(state=Job.State.WORKING, heard_at=timezone.now(), done=0):
            return
        job, tell = self.rows().get(pk=pk), Teller(self, pk)
        try:
            kept = self._made(job, tell)
        except DomainError as error:
            tell.kept(state=Job.State.FAILED, problem=str(error)[:300])
        except Exception:
            log.exception("Job %s failed.", pk)
            tell.kept(state=Job.State.FAILED, problem=FAILED)
        else:
            tell.kept(state=Job.State.DONE, **kept)

    def _made(self, job: Kind, tell: "Teller") -> dict[str, Any]:
        """Write the file of a job, complete or not at all."""
        job.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        draft = job.file.with_suffix(".part")
        kept = self.make(job, draft, tell)
        draft.replace(job.file)
        return kept

    def expire(self) -> None:
        """Remove what was asked for more than a day ago, and every file whose row is gone."""
        self.rows().filter(asked_at__lt=timezone.now() - KEPT_FOR).delete()
        kept = {str(pk) for pk in self.rows().values_list("pk", flat=True)}
        for file in self.rows().model.folder().glob("*.*"):
            if file.stem not in kept:
                file.unlink(missing_ok=True)


class Teller:
    """Notes in a job's row how far it is, now and then."""

    def __init__(self, spool: Spool[Any], pk: UUID) -> None:
        self._rows = spool.rows().filter(pk=pk)
        self._told = time.monotonic()

    def __call__(self, done: int, **more: object) -> None:
        """Note how many steps are done, unless that was noted a moment ago."""
        if time.monotonic() - self._told >= TOLD_EVERY:
            self._told = time.monotonic()
            self.kept(done=done, **more)

    def kept(self, **values: object) -> None:
        """Note what is the case, at once."""
        self._rows.update(heard_at=timezone.now(), **values)

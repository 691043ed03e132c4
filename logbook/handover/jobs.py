"""Packing in the background: a thread of the process that was asked; the next look takes over where it was stopped."""

import logging
import threading
import time
from datetime import timedelta
from pathlib import Path
from typing import Final
from uuid import UUID

from django.conf import settings
from django.db import connection, transaction
from django.db.models import Q
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Component, Engine
from logbook.handover.export import Export, package_write
from logbook.handover.gathering import scope_of_engine, scope_of_part, unsigned_refuse
from logbook.models import PackageJob, Person
from logbook.received import KEPT_FOR

SILENT: Final = timedelta(seconds=90)  # after which nobody is taken to pack it any more
TOLD_EVERY: Final = 1.0  # between two notes of how far it is [s]
FAILED: Final = "Something went wrong. Ask for it again; if it fails again, tell whoever runs the site."

log = logging.getLogger(__name__)


def job_add(*, person: Person, engine: Engine | None = None, component: Component | None = None) -> PackageJob:
    """Have a record packed; return its row, the one at work where it is being packed already.

    Raises DomainError "unsigned_left" where a run is not signed as it stands.
    """
    jobs_expire()
    about = {"person": person, "engine": engine, "component": component}
    if engine is not None:
        unsigned_refuse(scope_of_engine(engine))
    known = PackageJob.objects.filter(state__in=(PackageJob.State.WAITING, PackageJob.State.PACKING), **about).first()
    if known is not None:
        return known
    job = PackageJob.objects.create(**about)
    transaction.on_commit(lambda: start(job.pk))
    return job


def job_revive(job: PackageJob) -> None:
    """Start a job again where whoever packed it is gone."""
    if job.is_at_work and (job.heard_at or job.asked_at) < timezone.now() - SILENT:
        start(job.pk)


def start(pk: UUID) -> None:
    """Pack in a thread of its own."""
    threading.Thread(target=_packed_apart, args=(pk,), name=f"package-{pk}", daemon=True).start()


def _packed_apart(pk: UUID) -> None:
    try:
        job_pack(pk)
    finally:
        connection.close()


def job_pack(pk: UUID) -> None:
    """Pack a record, unless somebody else does; whatever goes wrong is kept in its row."""
    gone = Q(state=PackageJob.State.PACKING, heard_at__lt=timezone.now() - SILENT)
    mine = PackageJob.objects.filter(Q(state=PackageJob.State.WAITING) | gone, pk=pk)
    if not mine.update(state=PackageJob.State.PACKING, heard_at=timezone.now(), done=0):
        return
    job = PackageJob.objects.select_related("person__operator", "engine__operator", "component__operator").get(pk=pk)
    try:
        _pack(job)
    except DomainError as error:
        _tell(job, state=PackageJob.State.FAILED, problem=str(error)[:300])
    except Exception:
        log.exception("Package job %s failed.", pk)
        _tell(job, state=PackageJob.State.FAILED, problem=FAILED)
    else:
        _tell(job, state=PackageJob.State.DONE)


def _tell(job: PackageJob, **values: object) -> None:
    PackageJob.objects.filter(pk=job.pk).update(heard_at=timezone.now(), **values)


def _pack(job: PackageJob) -> None:
    """Write the file, complete or not at all."""
    whole = job.engine or job.component
    assert whole is not None
    scope = scope_of_engine(job.engine) if job.engine else scope_of_part(whole)  # type: ignore[arg-type]
    told = [0.0]

    def progress(done: int, of: int) -> None:
        if done == of or time.monotonic() - told[0] >= TOLD_EVERY:
            told[0] = time.monotonic()
            _tell(job, done=done, steps=of)

    job.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    draft = job.file.with_suffix(".part")
    with draft.open("wb+") as file:
        package_write(Export(scope, whole.operator, job.person, progress), file)
    draft.replace(job.file)


def jobs_expire() -> None:
    """Remove what was asked for more than a day ago, and every file whose row is gone."""
    PackageJob.objects.filter(asked_at__lt=timezone.now() - KEPT_FOR).delete()
    kept = {str(pk) for pk in PackageJob.objects.values_list("pk", flat=True)}
    for file in Path(settings.PACKAGES_DIR).glob("*"):
        if file.stem not in kept:
            file.unlink(missing_ok=True)

"""Records that are packed in the background."""

import hashlib
from pathlib import Path
from typing import Any, Final

from django.db import transaction

from engines.actions.owners import engine_here
from engines.models import Component, Engine
from logbook.handover.export import Export, package_write
from logbook.handover.gathering import scope_of_engine, scope_of_part, unsigned_refuse
from logbook.models import PackageJob, Person
from logbook.spool import Spool, Teller


def job_add(*, person: Person, engine: Engine | None = None, component: Component | None = None) -> PackageJob:
    """Have a record packed; return its row, the one at work where it is being packed already.

    Raises DomainError "unsigned_left" where a run is not signed as it stands, "engine_left" for an engine that was
    handed over, since its parts went with it.
    """
    PACKAGES.expire()
    about = {"person": person, "engine": engine, "component": component}
    if engine is not None:
        engine_here(engine)
        unsigned_refuse(scope_of_engine(engine))
    known = PackageJob.objects.filter(state__in=PackageJob.UNFINISHED, **about).first()
    if known is not None:
        return known
    job = PackageJob.objects.create(**about)
    transaction.on_commit(lambda: PACKAGES.start(job.pk))
    return job


def _packed(job: PackageJob, to: Path, tell: Teller) -> dict[str, Any]:
    whole = job.engine or job.component
    assert whole is not None
    scope = scope_of_engine(job.engine) if job.engine else scope_of_part(whole)  # type: ignore[arg-type]
    told: dict[str, Any] = {}

    def progress(done: int, of: int) -> None:
        told.update(done=done, steps=of)
        tell(done, steps=of)

    with to.open("wb+") as file:
        package_write(Export(scope, whole.operator, job.person, progress), file)
    with to.open("rb") as packed:
        return told | {"sha256": hashlib.file_digest(packed, "sha256").hexdigest()}


PACKAGES: Final = Spool(
    rows=lambda: PackageJob.objects.select_related("person__operator", "engine__operator", "component__operator"),
    make=_packed,
)

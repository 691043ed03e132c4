"""Records that go from one operator to another and back, with all that is signed on the way."""

import datetime
from io import BytesIO
from typing import Any

from django.utils import timezone

from engines.models import Component, Engine
from logbook.handover import jobs
from logbook.handover.giving import MEANING, Giving, handover_sign
from logbook.handover.importing import package_import
from logbook.handover.words import ALL_GO, PACKED
from logbook.models import Entry, PackageJob, Person, ReceivedPackage
from tests.signed import signing_of

GIVING = Giving("Farholm Air", datetime.date(2026, 5, 20), ALL_GO, PACKED, "Hangar 2, Farholm; records office")


def packed_job(by: Person, *, engine: Engine | None = None, component: Component | None = None) -> PackageJob:
    """Return a record that was packed on the site."""
    job = PackageJob.objects.create(person=by, engine=engine, component=component)
    jobs.PACKAGES.run(job.pk)
    job.refresh_from_db()
    assert (job.state, job.problem) == ("done", "")
    return job


def handed(by: Person, *, giving: Giving = GIVING, **about: Any) -> tuple[Entry, bytes]:
    """Hand a record over, and return the entry and the package."""
    job = packed_job(by, **about)
    entry = handover_sign(job=job, giving=giving, by=by, signing=signing_of(by, MEANING))
    return entry, job.file.read_bytes()


def taken(data: bytes, by: Person, **more: Any) -> ReceivedPackage:
    """Take a package in."""
    return package_import(BytesIO(data), operator=by.operator, by=by, signing=signing_of(by, "Taken in"), **more)


def today() -> datetime.date:
    """Return the day by the server's clock."""
    return timezone.localdate()

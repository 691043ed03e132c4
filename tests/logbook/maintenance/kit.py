"""Work as people write it down and sign it, for the tests of it."""

import re
from typing import Any

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from engines.models import Engine
from logbook.maintenance.actions import work_open, work_sign
from logbook.maintenance.rows import Work
from logbook.models import Certificate, Entry, Person
from logbook.signing import PASSWORD, Signing
from tests.logbook.screen_kit import PASSWORD as SECRET

# What a whole piece of maintenance says.
SAID: dict[str, Any] = {
    "description": "Fuel nozzle 3 changed, leak check without fault",
    "data_document": "Invented maintenance manual 72-00",
    "data_revision": "9",
    "data_section": "task 4",
    "is_major": "no",
    "limitations": "none",
    "incomplete": "none",
}
INSPECTED: dict[str, Any] = {
    "inspection_kind": "hundred_hour",
    "inspection": "100-hour inspection, checklist 7",
    "extent": "Whole engine",
    "data_document": "Invented maintenance manual 05-20",
    "data_revision": "9",
    "has_checklist": True,
    "run_after": "Torque 98 %, oil 110 psi and 74 °C, N1 101 %",
    "is_approved": "yes",
    "limitations": "none",
    "incomplete": "none",
    "found": [],
    "again": {},
}
# What a release away from base says besides.
AUTHORISED: dict[str, Any] = {
    "authorised_by": "Owner of the test engine",
    "qualifications": "Licensed engineer of another state, number 12",
    "years": 5,
    "told": "Testholm airworthiness management",
    "days": "7",
}
LEAK = {"text": "Oil leak at the gearbox", "basis": "No leak allowed, invented manual 72-00"}
LAMP = {
    "text": "Second oil lamp out",
    "basis": "Equipment list",
    "is_deferred": True,
    "deferral": "Invented list, item 7",
    "placard_by": "Test Placarder",
    "placard_on": "2026-05-04",
}
METER = {"at": "2026-05-04T08:00:00+00:00", "old": "812.40", "new": "0.00", "why": "Failed"}
OPENING = {
    "basis": "records",
    "on": "2026-01-05",
    "run_time_s": "1204.5",
    "time_in_service_s": "1100",
    "starts": "900",
    "cycles": "880",
    "document": "Invented log book 1",
}


def today() -> str:
    """Return today, as a sheet has it."""
    return timezone.localdate().isoformat()


def refused(**changes: Any) -> dict[str, Any]:
    """Return an inspection that was not approved."""
    given = {"is_approved": "no", "found": [LEAK], "list_date": today(), "recipient": "Owner of the test engine"}
    return INSPECTED | {"completed_on": today()} | given | changes


def certified(person: Person, *covers: str) -> Certificate:
    """Return a person's certificate, entered to cover something."""
    certificate = person.certificates.get()
    certificate.covers = list(covers)
    certificate.save(update_fields=["covers"])
    return certificate


def opened(engine: Engine, by: Person, kind: str = Work.Kind.WORK, **changes: Any) -> Work:
    """Return work that says all, with some of it changed."""
    said = {Work.Kind.WORK: SAID, Work.Kind.INSPECTION: INSPECTED, Work.Kind.METER: METER, Work.Kind.OPENING: OPENING}
    facts = (
        said.get(Work.Kind(kind), {}) | ({"completed_on": today()} if kind in ("work", "inspection") else {}) | changes
    )
    return work_open(engine=engine, kind=kind, facts=facts, by=by)


def signing(by: Person) -> Signing:
    """Return how a person signs who gives their password."""
    return Signing(PASSWORD, "", by.certificates.first())


def signed(work: Work, by: Person) -> Entry:
    """Sign work, as a person does on the screen."""
    return work_sign(work=work, by=by, signing=signing(by), has_done_before=True)


def sign_on_screen(client: Client, work: Work, **changes: Any) -> Any:
    """Read the text of work and sign it, as the pages in view would send it."""
    address = reverse("work_sign", args=[work.pk])
    person = Person.objects.get(pk=client.session["_auth_user_id"])
    first = {"certificate": person.certificates.get().pk, "has_done_before": "on"} | changes
    page = client.post(address, first)
    read = re.search(r'name="read" value="(\w+)"', page.content.decode())
    if read is None:
        return page
    return client.post(address, first | {"stage": "sign", "read": read[1], "password": SECRET} | changes)

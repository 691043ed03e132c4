"""Signing in tests: as a person does on the screen, without the screen."""

from datetime import date
from typing import Any

from django.utils import timezone

from engines.models import Engine, Run
from logbook.actions import run_sign
from logbook.ledger.store import entry_seal
from logbook.models import Certificate, Entry, Person
from logbook.signing import CONFIRMS, PASSWORD, Signing, signed_body


def signing_of(by: Person, meaning: str = "") -> Signing:
    """Return how a person signs who gives their password, under the certificate they have, if they have one."""
    certificate: Certificate | None = by.certificates.first()
    return Signing(PASSWORD, meaning, certificate)


def run_signed(run: Run, by: Person) -> Entry:
    """Sign a run as it stands."""
    return run_sign(run=run, by=by, signing=signing_of(by, CONFIRMS))


def entry_made(engine: Engine, body: dict[str, Any], by: Person, completed_on: date, **row: Any) -> Entry:
    """Add an entry with any body."""
    at = timezone.now().replace(microsecond=0)
    return entry_seal(
        operator_id=engine.operator_id,
        body=signed_body(body, by, signing_of(by), at),
        engine=engine,
        completed_on=completed_on,
        signed_by=by,
        signed_at=at,
        **{"kind": Entry.Kind.RUN, **row},
    )

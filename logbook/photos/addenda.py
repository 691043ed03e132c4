"""Photos that came after something was signed: an addendum takes them up, a signed entry that names its own."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.utils import timezone

from engines.errors import DomainError
from engines.models import Operator
from logbook.access import DIRECTOR
from logbook.actions import certificate_check, entry_add
from logbook.corrections import signed_fault
from logbook.entry_bodies import corrected_body
from logbook.ledger.answers import SUPERSEDED
from logbook.models import Entry
from logbook.photos.facts import photos_part
from logbook.photos.queries import photos_later

if TYPE_CHECKING:
    from collections.abc import Sequence

    from logbook.corrections import Correcting
    from logbook.models import Person
    from logbook.photos.queries import Shown
    from logbook.signing import Signing

MEANING: Final = (
    "I add these photos to the entry that is named here. They change nothing of what it states, and approve nothing "
    "for return to service."
)
KEPT: Final = ("operator", "place", "is_demo", "engine", "times")  # as the entry has them that it is to


def addendum_fault(entry: Entry, by: Person, later: Sequence[Shown]) -> DomainError | None:
    """Return why a person can't add the photos that came later to an entry by an addendum."""
    if entry.kind in Entry.RUNS:
        return DomainError("A run is read and signed once more with its photos.", code="not_correctable")
    if not later:
        return DomainError("No photo of it waits to be added.", code="nothing_changed")
    if newer := Entry.objects.filter(corrects=entry).first():
        words = f"Entry {newer.number} stands in the place of this one; add them to that."
        return DomainError(words, code="corrected_before")
    if by.pk != entry.signed_by_id and by.role != DIRECTOR:
        words = f"{entry.signed_by} signed this entry and adds to it; where they can't, the director does."
        return DomainError(words, code="not_yours")
    return None


@transaction.atomic
def addendum_sign(*, entry: Entry, remarks: str, by: Person, signing: Signing, read: str = "") -> Entry:
    """Sign an addendum that tells every photo which came since an entry was signed; the entry stays as it is.

    Raises DomainError "not_correctable", "corrected_before", "not_yours", "nothing_changed" where no photo waits,
    "certificate_not_valid", and "text_changed" where the text is another than was read.
    """
    Operator.objects.select_for_update().get(pk=entry.operator_id)
    later = photos_later(entry)
    if fault := addendum_fault(entry, by, later):
        raise fault
    assert entry.engine is not None
    certificate_check(by, signing.certificate, timezone.localdate())
    return entry_add(
        engine=entry.engine,
        body=_body(entry, remarks, later),
        by=by,
        signing=replace(signing, meaning=MEANING),
        kind=Entry.Kind.ADDENDUM,
        inspection=entry.inspection,
        completed_on=timezone.localdate(),
        read=read,
    )


def _body(entry: Entry, remarks: str, later: Sequence[Shown]) -> dict[str, Any]:
    about = {"entry": entry.number, "title": entry.body.get("title", ""), "hash": entry.leaf_hash, "remarks": remarks}
    told = {"kind": Entry.Kind.ADDENDUM.value, "title": f"Addendum to entry {entry.number}", "addendum": about}
    kept = {name: entry.body[name] for name in KEPT if name in entry.body}
    on = timezone.localdate().isoformat()
    return kept | told | {"completed_on": on} | photos_part(later)


@transaction.atomic
def addendum_corrected(*, entry: Entry, remarks: str, correcting: Correcting) -> Entry:
    """State the remarks of an addendum anew, and sign that in its place; the photos that it took up stay in it.

    Raises DomainError "not_correctable", "corrected_before", "not_yours", "text_missing" without a reason,
    "nothing_changed", "certificate_not_valid", and "text_changed".
    """
    told = entry.body.get("addendum")
    if not told or entry.engine is None:
        raise DomainError("This entry is not corrected on this sheet.", code="not_correctable")
    if fault := signed_fault(entry, correcting.by):
        raise fault
    if not correcting.why.strip():
        raise DomainError("Say why it is corrected.", code="text_missing", fields={"why": "is missing"})
    certificate_check(correcting.by, correcting.signing.certificate, timezone.localdate())
    kept = {name: value for name, value in entry.body.items() if name not in ("signed", "correction")}
    stated = kept | {"addendum": told | {"remarks": remarks.strip()}}
    body = corrected_body(entry, stated, how=SUPERSEDED, why=correcting.why)
    if not body["correction"]["changes"]:
        raise DomainError("Nothing is stated otherwise than before.", code="nothing_changed")
    return entry_add(
        engine=entry.engine,
        body=body,
        by=correcting.by,
        signing=replace(correcting.signing, meaning=MEANING),
        kind=entry.kind,
        inspection=entry.inspection,
        completed_on=entry.completed_on,
        corrects=entry,
        read=correcting.read,
    )

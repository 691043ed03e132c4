"""Keeping people: their certificates, whether they still work here, and who may inspect what."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import transaction
from django.utils import timezone

from engines.errors import DomainError
from engines.models import EngineType
from logbook.access import DIRECTOR
from logbook.desk import AccountChange, Authorization
from logbook.models import Certificate, Person
from logbook.statements.coverage import COVERS


@dataclass(frozen=True)
class Line:
    """What a line of the list says of a person: title, inspections in words, the type (None: every one), from when.

    ``only`` is the one inspection that it covers, as the limits name it; "": every inspection.
    """

    title: str
    inspections: str
    begins_on: date
    engine_type: EngineType | None = None
    only: str = ""


KEPT = ("kind", "number", "ratings", "covers", "valid_from", "valid_until")


def operator_of(person: Person) -> int:
    """Return the key of the operator that a person works for; nobody without one is kept here."""
    if person.operator_id is None:
        raise DomainError(f"{person} works for no operator.", code="not_of_operator")
    return person.operator_id


def _text(value: str, name: str, words: str) -> str:
    if not value.strip():
        raise DomainError(words, code="text_missing", fields={name: words})
    return value.strip()


@transaction.atomic
def certificate_add(
    *, person: Person, facts: Mapping[str, Any], by: Person, replaces: Certificate | None = None
) -> Certificate:
    """Enter a certificate of a person, or a changed one in the place of another, whose row stays.

    Raises DomainError "text_missing", "cover_unknown", "date_impossible" for an end before the beginning, and
    "certificate_replaced" where the other is somebody else's or was replaced before.
    """
    _text(facts["kind"], "kind", "Say what kind of certificate it is.")
    _text(facts["number"], "number", "Give its number.")
    _check_covers(facts.get("covers") or [])
    first, last = facts.get("valid_from"), facts.get("valid_until")
    if first and last and last < first:
        words = "It can't end before it begins."
        raise DomainError(words, code="date_impossible", fields={"valid_until": words})
    if replaces is not None:
        _check_replaced(person, replaces)
    return Certificate.objects.create(
        person=person,
        replaces=replaces,
        added_by=by,
        **{name: facts.get(name) for name in KEPT} | {"covers": sorted(facts.get("covers") or [])},
    )


def _check_covers(covers: Iterable[str]) -> None:
    unknown = [name for name in covers if name not in COVERS]
    if unknown:
        words = f"A certificate can't cover {', '.join(unknown)}; it can cover {', '.join(COVERS)}."
        raise DomainError(words, code="cover_unknown", fields={"covers": words})


def _check_replaced(person: Person, replaces: Certificate) -> None:
    known = Certificate.objects.select_for_update().get(pk=replaces.pk)
    if known.person_id != person.pk or Certificate.objects.filter(replaces=known).exists():
        raise DomainError(f"{known} is not {person}'s, or was replaced before.", code="certificate_replaced")


def directors_check(person: Person) -> None:
    """Raise DomainError "last_director" where nobody but this person directs maintenance for the operator."""
    directors = Person.objects.select_for_update().filter(operator=person.operator_id, role=DIRECTOR, is_active=True)
    if not directors.exclude(pk=person.pk).exists():
        raise DomainError("Somebody has to remain who directs maintenance here.", code="last_director")


@transaction.atomic
def person_deactivate(*, person: Person, by: Person) -> Person:
    """Close a person's account: no sign-in, no token, no line on the list of who may inspect; what they did stays.

    Raises DomainError "own_account" for one's own, "last_director" where nobody would be left to open accounts.
    """
    if person.pk == by.pk:
        raise DomainError("You can't close your own account; another director has to.", code="own_account")
    directors_check(person)
    person.is_active = False
    person.save(update_fields=["is_active"])
    now = timezone.now()
    person.api_tokens.filter(revoked_at=None).update(revoked_at=now)
    standing = person.authorizations.filter(ended_on=None)
    standing.update(ended_on=timezone.localdate(), ended_by=by)
    AccountChange.objects.create(person=person, kind=AccountChange.Kind.CLOSED, by=by)
    return person


@transaction.atomic
def person_restore(*, person: Person, by: Person) -> Person:
    """Open a person's account again; tokens stay revoked, and who may inspect what is listed anew."""
    AccountChange.objects.create(person=person, kind=AccountChange.Kind.RESTORED, by=by)
    person.is_active = True
    person.save(update_fields=["is_active"])
    return person


@transaction.atomic
def authorization_add(*, person: Person, line: Line, by: Person, ends: Authorization | None = None) -> Authorization:
    """Write a person on the list of who may inspect what.

    ``ends`` is the line in whose place it stands, which ends the day before, or on its first day. Raises DomainError
    "account_closed", "text_missing", and "not_of_operator" for a type of another operator.
    """
    if not person.is_active:
        raise DomainError(f"{person}'s account is closed.", code="account_closed")
    title = _text(line.title, "title", "Give the person's title.")
    inspections = _text(line.inspections, "inspections", "Say which inspections are allowed.")
    if line.engine_type is not None and line.engine_type.operator_id != person.operator_id:
        raise DomainError(f"{line.engine_type} is no type of this operator.", code="not_of_operator")
    if ends is not None:
        authorization_end(line=ends, on=max(ends.begins_on, line.begins_on), by=by)
    return Authorization.objects.create(
        operator_id=operator_of(person),
        person=person,
        name=str(person),
        title=title,
        inspections=inspections,
        engine_type=line.engine_type,
        only=line.only,
        begins_on=line.begins_on,
        listed_by=by,
    )


@transaction.atomic
def authorization_end(*, line: Authorization, on: date, by: Person) -> Authorization:
    """End a line of the list on a day; DomainError "ended_before" or "date_impossible" where it can't end then."""
    line = Authorization.objects.select_for_update().get(pk=line.pk)
    if line.ended_on is not None:
        raise DomainError(f"This line ended on {line.ended_on}.", code="ended_before")
    if on < line.begins_on:
        raise DomainError("It can't end before it begins.", code="date_impossible")
    line.ended_on, line.ended_by = on, by
    line.save(update_fields=["ended_on", "ended_by"])
    return line

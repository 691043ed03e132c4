"""Accounts as the director keeps them: opened, given a role or a one-time password; each change stays with its day."""

import secrets
from dataclasses import dataclass
from datetime import timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from engines.errors import DomainError
from logbook.access import DIRECTOR
from logbook.desk import AccountChange
from logbook.models import Person
from logbook.people import directors_check, operator_of
from logbook.roles import Role

LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that is taken for another when read aloud or off paper
GROUPS, LETTERS_EACH = 4, 4
GOOD_FOR_D = 7  # days in which a one-time password has to be replaced
OWN = "Nobody changes this of their own account; another director has to."


@dataclass(frozen=True)
class Newcomer:
    """A person as the director enters them."""

    first_name: str
    last_name: str
    username: str
    role: str


def one_time_password() -> str:
    """Return a password that nobody can guess, in groups that can be read out: about 79 bits."""
    groups = ("".join(secrets.choice(LETTERS) for _ in range(LETTERS_EACH)) for _ in range(GROUPS))
    return "-".join(groups)


@transaction.atomic
def person_add(*, who: Newcomer, by: Person) -> tuple[Person, str]:
    """Open an account of the director's operator; return it with its one-time password, which is kept nowhere.

    Raises DomainError "text_missing", "name_taken" and "role_unknown".
    """
    name = who.username.strip()
    for field, value in (("first_name", who.first_name), ("last_name", who.last_name), ("username", name)):
        if not value.strip():
            raise DomainError("Give both names and the name to sign in with.", code="text_missing", fields={field: "?"})
    _role_check(who.role)
    _name_check(name)
    person = Person(
        first_name=who.first_name.strip(),
        last_name=who.last_name.strip(),
        username=name,
        role=who.role,
        operator_id=operator_of(by),
    )
    password = _password_set(person)
    _note(person, AccountChange.Kind.ADDED, by, role_to=person.role)
    return person, password


def _name_check(name: str) -> None:
    try:
        Person.username_validator(name)
    except ValidationError as error:
        words = "A name to sign in with has letters, digits and @ . + - _ only."
        raise DomainError(words, code="text_missing", fields={"username": words}) from error
    if Person.objects.filter(username__iexact=name).exists():
        words = f"“{name}” is in use; choose another name to sign in with."
        raise DomainError(words, code="name_taken", fields={"username": words})


def _role_check(role: str) -> None:
    if role not in Role.values:
        words = f"Choose a role: {', '.join(Role.labels)}."
        raise DomainError(words, code="role_unknown", fields={"role": words})


def _password_set(person: Person) -> str:
    password = one_time_password()
    person.set_password(password)
    person.must_change_password = True
    person.one_time_until = timezone.now() + timedelta(days=GOOD_FOR_D)
    person.save()
    return password


def _note(person: Person, kind: str, by: Person, **roles: str) -> None:
    AccountChange.objects.create(person=person, kind=kind, by=by, **roles)


@transaction.atomic
def role_change(*, person: Person, role: str, by: Person) -> Person:
    """Give a person another role; who did it, when, from and to stay.

    Raises DomainError "own_account" for one's own, "role_unknown" for none or the same, "last_director" where nobody
    would be left to direct maintenance.
    """
    _role_check(role)
    person = Person.objects.select_for_update().get(pk=person.pk)
    if person.pk == by.pk:
        raise DomainError(OWN, code="own_account")
    if person.role == role:
        words = f"{person} has that role already."
        raise DomainError(words, code="role_unknown", fields={"role": words})
    if person.role == DIRECTOR:
        directors_check(person)
    before, person.role = person.role, role
    person.save(update_fields=["role"])
    _note(person, AccountChange.Kind.ROLE, by, role_from=before, role_to=role)
    return person


@transaction.atomic
def password_reset(*, person: Person, by: Person) -> str:
    """Give a person a new one-time password, which ends every session of theirs; the old one is never shown.

    Raises DomainError "own_account" for one's own, "account_closed" for a closed one.
    """
    person = Person.objects.select_for_update().get(pk=person.pk)
    if person.pk == by.pk:
        raise DomainError("Change your own password under My access.", code="own_account")
    if not person.is_active:
        raise DomainError(f"{person}'s account is closed.", code="account_closed")
    password = _password_set(person)
    _note(person, AccountChange.Kind.PASSWORD, by)
    return password

"""Whoever opens a screen in the tests of all screens: of every role, with and without a second factor, or nobody."""

import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from functools import partial
from typing import Any

from allauth.account.internal.flows.login import record_authentication
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP
from django.http import HttpRequest
from django.test import Client
from django.utils import timezone
from fido2.cose import ES256
from fido2.utils import websafe_encode
from fido2.webauthn import AttestationObject, AttestedCredentialData, AuthenticatorData

from engines.models import Engine
from logbook.access import ACTS, DIRECTOR, OPEN
from logbook.models import ApiToken, PackageJob, Person, PrintJob
from logbook.print_sets import Choice
from tests.factories import CertificateFactory
from tests.logbook.screen_kit import PASSWORD

Places = dict[tuple[str, str], Any]
SECRET = "A" * 32
PRESENT = 0x45  # somebody was there, was told apart, and a key follows


def access(person: Person, rows: int) -> None:
    """Give a person many certificates, tokens and sets that were printed."""
    engine = Engine.objects.filter(operator=person.operator).first()
    assert person.operator is not None
    assert engine is not None
    for k in range(rows):
        # Heard of from tomorrow, so that no look at one takes its maker to be gone, however slow the machine.
        asked = {"person": person, "heard_at": timezone.now() + timedelta(days=1)}
        paper = {"choice": Choice().kept(), "paper": "a4", "address": "http://testserver/"}
        PrintJob.objects.create(operator=person.operator, title=f"Set {k}", entries=40, **paper, **asked)
        PackageJob.objects.create(engine=engine, steps=9, **asked)
        CertificateFactory.create(person=person)
        ApiToken.objects.create(person=person, label=f"Token {k}", digest=uuid.uuid4().hex, scope=ApiToken.Scope.READ)


def factors(person: Person, rows: int) -> None:
    """Give a person every second factor there is."""
    TOTP.activate(person, SECRET)
    RecoveryCodes.activate(person)
    for k in range(rows):
        Authenticator.objects.create(user=person, type=Authenticator.Type.WEBAUTHN, data=passkey(k))


def passkey(number: int) -> dict[str, Any]:
    """Return a passkey as the accounts library keeps it; nobody has its other half."""
    name = f"key-{number}".encode()
    key = ES256({1: 2, 3: -7, -1: 1, -2: bytes(32), -3: bytes(32)})
    held = AttestedCredentialData.create(bytes(16), name, key)
    shown = AttestationObject.create("none", AuthenticatorData.create(bytes(32), PRESENT, 0, held), {})
    said = b'{"type":"webauthn.create","challenge":"AA","origin":"http://localhost"}'
    answer = {"clientDataJSON": websafe_encode(said), "attestationObject": websafe_encode(bytes(shown))}
    known = {"id": websafe_encode(name), "rawId": websafe_encode(name), "type": "public-key", "response": answer}
    return {"name": f"Key {number}", "credential": {**known, "clientExtensionResults": {"credProps": {"rk": True}}}}


def came_in(person: Person, *, confirmed: bool = True) -> Client:
    """Return the client of a person who has just signed in, as the accounts library remembers it.

    ``confirmed`` is whether they have given their password once more since.
    """
    client = Client()
    client.force_login(person)
    request = HttpRequest()
    request.session = client.session  # type: ignore[assignment]
    record_authentication(request, person, method="password", **({"reauthenticated": True} if confirmed else {}))
    request.session.save()
    return client


def halfway_in(person: Person) -> Client:
    """Return the client of a person who has given the password, and not yet the second factor."""
    client = Client()
    client.post("/sign-in/", {"login": person.username, "password": PASSWORD})
    return client


@dataclass(frozen=True)
class Visitor:
    """Somebody who tries a screen, and what parts of an address are their own."""

    client: Client
    own: Places = field(default_factory=dict)


def visitors(people: dict[str, Person], secured: dict[str, Person], act: str) -> dict[str, Iterator[Visitor]]:
    """Return who may try a screen, by role: a person without a second factor, then one with all of them.

    Each comes in when it is their turn.
    """
    if act == OPEN:
        return {"anybody": (Visitor(client()) for client in (Client, partial(halfway_in, secured[DIRECTOR])))}
    return {role: map(arrived, (people[role], secured[role])) for role in people if role in ACTS[act]}


def arrived(person: Person) -> Visitor:
    """Return a person who has just signed in, with the numbers of their own token and passkey, 0 for none."""
    passkeys = Authenticator.objects.filter(user=person, type=Authenticator.Type.WEBAUTHN)
    owned = {"my-access/tokens/": person.api_tokens.first(), "my-access/passkeys/": passkeys.first()}
    owned |= {"prints/": person.print_jobs.first(), "packing/": person.package_jobs.first()}
    return Visitor(came_in(person), {(folder, "pk"): row.pk if row else 0 for folder, row in owned.items()})

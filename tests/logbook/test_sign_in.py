"""Signing in: slowed down when guessed at, and with a second factor where a person has one."""

import datetime
from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from allauth.mfa.adapter import get_adapter
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value, yield_hotp_counters_from_time
from django.core.cache import cache, caches
from django.core.cache.backends.db import DatabaseCache
from django.db import connection
from django.test import Client
from django.urls import reverse

from logbook.access import MECHANIC
from logbook.forms.accounts import NOT_TAKEN
from logbook.models import CacheRow, Person
from logbook.settings import PASSWORD_HASHERS
from tests.logbook.screen_kit import PASSWORD, words

SECRET = "JBSWY3DPEHPK3PXP"
MOMENT = datetime.datetime(2026, 5, 4, 6, 0, tzinfo=datetime.UTC)


@pytest.fixture(autouse=True)
def clock() -> Iterator[time_machine.Traveller]:
    """Return a clock that stands still until it is moved."""
    with time_machine.travel(MOMENT, tick=False) as traveller:
        yield traveller


def send(client: Client, login: str, password: str = PASSWORD, **extra: Any) -> Any:
    """Send the sign-in sheet."""
    return client.post(reverse("sign_in"), {"login": login, "password": password}, **extra)


def code_now() -> str:
    """Return the code that an app with the secret shows now."""
    return str(format_hotp_value(hotp_value(SECRET, next(iter(yield_hotp_counters_from_time())))))


def with_app(person: Person) -> list[str]:
    """Give a person codes from an app, and return their recovery codes."""
    secret = {"secret": get_adapter().encrypt(SECRET)}
    Authenticator.objects.create(user=person, type=Authenticator.Type.TOTP, data=secret)
    return list(RecoveryCodes.activate(person).get_unused_codes())


def is_in(client: Client) -> bool:
    """Return whether the client is signed in."""
    return client.get(reverse("engine_list")).status_code == 200


def test_the_right_password_waits_too_after_five_wrong_ones(
    client: Client, clock: time_machine.Traveller, mechanic: Person
) -> None:
    for _ in range(5):
        assert "do not belong together" in words(send(client, "mechanic", "guess"))
    assert "Too many tries. Wait five minutes" in words(send(client, "mechanic"))
    assert not is_in(client)
    clock.shift(datetime.timedelta(minutes=5, seconds=1))
    assert send(client, "mechanic").status_code == 302
    assert is_in(client)


def test_one_name_that_is_guessed_at_leaves_the_others_open(
    client: Client, mechanic: Person, inspector: Person
) -> None:
    for _ in range(6):
        send(client, "mechanic", "guess")
    assert send(client, "inspector").status_code == 302


def test_one_address_that_guesses_at_many_names_is_slowed_down(client: Client, mechanic: Person) -> None:
    for guess in range(10):
        send(client, f"guess-{guess}", "guess")
    assert "Too many tries" in words(send(client, "mechanic"))
    assert send(Client(REMOTE_ADDR="192.0.2.7"), "mechanic").status_code == 302


def test_even_right_ones_are_slowed_down_when_they_come_by_the_dozen(client: Client, mechanic: Person) -> None:
    for _ in range(60):
        send(client, "mechanic", "")
    response = send(client, "mechanic")
    assert response.status_code == 429
    assert "Too many tries" in words(response)


@pytest.mark.parametrize(("proxies", "is_slowed"), [(0, True), (1, False)])
def test_whose_address_counts_follows_from_the_proxies(
    proxies: int, is_slowed: bool, mechanic: Person, settings: Any
) -> None:
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = proxies
    for guess in range(10):
        send(Client(), f"guess-{guess}", "guess", headers={"X-Forwarded-For": f"192.0.2.{guess}"})
    response = send(Client(), "mechanic", headers={"X-Forwarded-For": "192.0.2.200"})
    assert (response.status_code == 302) is not is_slowed


@pytest.mark.django_db
def test_the_counters_are_one_for_all_processes() -> None:
    assert isinstance(caches["default"], DatabaseCache)
    assert CacheRow._meta.db_table in connection.introspection.table_names()
    cache.set("one", 1)
    assert str(CacheRow.objects.get()).endswith("one")
    assert cache.get("one") == 1


@pytest.mark.django_db
def test_passwords_are_kept_by_argon2(settings: Any) -> None:
    settings.PASSWORD_HASHERS = PASSWORD_HASHERS
    person = Person.objects.create_user("somebody", password=PASSWORD, role=MECHANIC)
    assert person.password.startswith("argon2$argon2id$")
    assert person.check_password(PASSWORD)


def test_a_closed_account_says_so_only_to_who_has_its_password(client: Client, mechanic: Person) -> None:
    mechanic.is_active = False
    mechanic.save(update_fields=["is_active"])
    assert "do not belong together" in words(send(client, "mechanic", "guess"))
    response = send(client, "mechanic")
    assert response["Location"] == reverse("account_inactive")
    assert "This account is closed" in words(client.get(response["Location"]))
    assert not is_in(client)


def test_nobody_signs_up(client: Client) -> None:
    assert [client.get(path).status_code for path in ("/signup/", "/accounts/signup/", "/sign-up/")] == [404] * 3


def test_a_code_is_asked_for_after_the_password(client: Client, mechanic: Person) -> None:
    with_app(mechanic)
    address = f"{reverse('sign_in')}?next=/entries/"
    response = client.post(address, {"login": "mechanic", "password": PASSWORD})
    assert response["Location"].split("?")[0] == reverse("mfa_authenticate")
    assert not is_in(client)
    page = client.get(response["Location"])
    assert "This account asks for one thing more" in words(page)
    assert "That code is not right" in words(client.post(response["Location"], {"code": "000000"}))
    assert not is_in(client)
    assert client.post(response["Location"], {"code": code_now()})["Location"] == "/entries/"
    assert is_in(client)


def test_a_code_without_a_password_opens_nothing(client: Client, mechanic: Person) -> None:
    with_app(mechanic)
    response = client.post(reverse("mfa_authenticate"), {"code": code_now()})
    assert response["Location"].split("?")[0] == reverse("sign_in")
    assert not is_in(client)


def test_codes_are_not_guessed_at_for_long(client: Client, mechanic: Person) -> None:
    with_app(mechanic)
    send(client, "mechanic")
    said = [words(client.post(reverse("mfa_authenticate"), {"code": f"{n:06}"})) for n in range(1, 8)]
    assert "Too many tries. Wait five minutes" in said[-1]
    client.post(reverse("mfa_authenticate"), {"code": code_now()})
    assert not is_in(client)


def test_a_recovery_code_stands_in_once(client: Client, mechanic: Person) -> None:
    code = with_app(mechanic)[0]
    for goes_in in (True, False):
        send(client, "mechanic")
        client.post(reverse("mfa_authenticate"), {"code": code})
        assert is_in(client) is goes_in
        client.post(reverse("sign_out"))


def test_whoever_begins_again_is_asked_for_the_password_again(client: Client, mechanic: Person) -> None:
    with_app(mechanic)
    send(client, "mechanic")
    client.post(reverse("sign_out"))
    assert client.get(reverse("mfa_authenticate"))["Location"].split("?")[0] == reverse("sign_in")


def test_the_secret_of_the_codes_is_not_readable_in_the_database(mechanic: Person) -> None:
    with_app(mechanic)
    stored = Authenticator.objects.get(type=Authenticator.Type.TOTP).data["secret"]
    assert SECRET not in stored
    assert get_adapter().decrypt(stored) == SECRET


@pytest.mark.django_db
def test_a_passkey_is_offered_on_the_sign_in_screen(client: Client) -> None:
    page = client.get(reverse("sign_in")).content.decode()
    assert 'id="passkey_use"' in page
    options = client.get(reverse("mfa_login_webauthn"), headers={"Accept": "application/json"}).json()
    assert options["request_options"]["publicKey"]["challenge"]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("sent", "says"), [('{"id": "x"}', NOT_TAKEN), ("[1]", NOT_TAKEN), ("7", NOT_TAKEN), ("", "No passkey was used")]
)
def test_what_is_no_passkey_opens_nothing(sent: str, says: str, client: Client) -> None:
    response = client.post(reverse("mfa_login_webauthn"), {"credential": sent})
    assert response["Location"] == reverse("sign_in")
    assert says in words(client.get(response["Location"]))
    assert not is_in(client)

"""One's own access: tokens shown once, passkeys, codes and the password, each only for whoever owns it."""

import base64
import re

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import format_hotp_value, hotp_value, yield_hotp_counters_from_time
from django.test import Client
from django.urls import reverse

from logbook.models import ApiToken, Person
from logbook.tokens import token_issue, token_known, token_revoke, token_used
from tests.logbook.screen_kit import PASSWORD, signed_in, words

NEW_PASSWORD = "propeller arc marked in red"


@pytest.fixture
def confirmed(client: Client, mechanic: Person) -> Client:
    """Return a client whose person has just given their password."""
    client.post(reverse("sign_in"), {"login": mechanic.username, "password": PASSWORD})
    client.post(reverse("account_reauthenticate"), {"password": PASSWORD})
    return client


def passkey(person: Person, name: str = "Phone") -> Authenticator:
    """Give a person a passkey, its inside left out."""
    return Authenticator.objects.create(
        user=person, type=Authenticator.Type.WEBAUTHN, data={"name": name, "credential": {}}
    )


def codes_on(client: Client) -> list[str]:
    """Set up codes from an app, and return the recovery codes that are shown."""
    page = client.get(reverse("mfa_activate_totp")).content.decode()
    secret = re.search(r'<code class="secret">(\w+)</code>', page)
    assert secret is not None
    code = format_hotp_value(hotp_value(secret[1], next(iter(yield_hotp_counters_from_time()))))
    response = client.post(reverse("mfa_activate_totp"), {"code": code})
    assert response["Location"] == reverse("mfa_view_recovery_codes")
    return re.findall(r'<code class="secret">(\d+)</code>', client.get(response["Location"]).content.decode())


def test_a_token_is_shown_once_and_works(client: Client, mechanic: Person) -> None:
    signed_in(client, mechanic)
    response = client.post(reverse("token_add"), {"label": "Stand 2", "scope": "record"})
    found = re.search(r'id="token">([\w-]+)<', response.content.decode())
    assert found is not None
    known = token_known(found[1])
    assert (known.person, known.label, known.scope) == (mechanic, "Stand 2", "record")
    assert "no-store" in response["Cache-Control"]
    assert "It is shown this once." in words(response)
    page = client.get(reverse("token_list"))
    assert found[1] not in page.content.decode()
    assert known.digest not in page.content.decode()


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        ({}, "Say what the token is for."),
        ({"label": "a"}, "Choose what the token may do."),
        ({"label": "a", "scope": "fly"}, "Select a valid choice"),
        ({"label": "kept", "scope": "read"}, "You have a token called “kept” already."),
        ({"label": "x" * 81, "scope": "read"}, "at most 80 characters"),
    ],
)
def test_a_token_that_does_not_do_is_not_made(
    sheet: dict[str, str], says: str, client: Client, mechanic: Person
) -> None:
    token_issue(person=mechanic, label="kept")
    response = signed_in(client, mechanic).post(reverse("token_add"), sheet)
    assert response.status_code == 422
    assert says in words(response)
    assert ApiToken.objects.count() == 1


def test_the_list_says_what_each_token_may_and_when_it_was_used(client: Client, mechanic: Person) -> None:
    used, _ = token_issue(person=mechanic, label="Recorder", scope="read")
    token_used(token=used)
    token_revoke(token=token_issue(person=mechanic, label="Old")[0])
    page = words(signed_in(client, mechanic).get(reverse("token_list")))
    day = f"{used.created_at:%Y-%m-%d}"
    assert re.search(rf"Recorder Read and print {day} {day} \d\d:\d\d Revoke Recorder", page)
    assert re.search(rf"Old Do everything that I may do {day} never Revoked {day}", page)


def test_a_token_is_revoked_by_its_owner_alone(client: Client, mechanic: Person, director: Person) -> None:
    row, token = token_issue(person=mechanic, label="Recorder")
    address = reverse("token_revoke", args=[row.pk])
    assert signed_in(client, director).post(address).status_code == 404
    assert "Recorder" not in words(client.get(reverse("token_list")))
    assert token_known(token) == row
    page = words(signed_in(client, mechanic).post(address, follow=True))
    assert "The token “Recorder” is revoked." in page
    assert token_known(token) is None


def test_what_protects_an_account_is_changed_only_after_the_password(client: Client, mechanic: Person) -> None:
    signed_in(client, mechanic)
    response = client.get(reverse("mfa_add_webauthn"), follow=True)
    assert "Confirm that it is you" in words(response)
    assert "That is not your password" in words(client.post(response.redirect_chain[-1][0], {"password": "guess"}))
    back = client.post(response.redirect_chain[-1][0], {"password": PASSWORD})
    assert back["Location"] == reverse("mfa_add_webauthn")
    assert "Add a passkey" in words(client.get(back["Location"]))


def test_codes_are_set_up_shown_once_made_anew_and_removed(confirmed: Client, mechanic: Person) -> None:
    codes = codes_on(confirmed)
    assert len(set(codes)) == 10
    again = words(confirmed.get(reverse("mfa_view_recovery_codes")))
    assert "10 codes of 10 can still be used. They were shown once" in again
    assert not any(code in again for code in codes)
    assert confirmed.get(reverse("mfa_download_recovery_codes")).status_code == 403
    assert "Asked for after your password. Remove the app" in words(confirmed.get(reverse("token_list")))
    assert "10 codes that you wrote down" in words(confirmed.get(reverse("mfa_generate_recovery_codes")))
    confirmed.post(reverse("mfa_generate_recovery_codes"))
    assert "Remove the app" in words(confirmed.get(reverse("mfa_deactivate_totp")))
    page = words(confirmed.post(reverse("mfa_deactivate_totp"), follow=True))
    assert "Not set up. Set up codes" in page
    assert not Authenticator.objects.filter(user=mechanic).exists()


def test_the_picture_for_the_app_has_a_ground_of_its_own(confirmed: Client) -> None:
    page = confirmed.get(reverse("mfa_activate_totp")).content.decode()
    found = re.search(r'src="data:image/svg\+xml;base64,([^"]+)"', page)
    assert found is not None
    assert 'fill="white"' in base64.b64decode(found[1]).decode()


def test_codes_are_set_up_only_by_a_code_of_the_app(confirmed: Client, mechanic: Person) -> None:
    confirmed.get(reverse("mfa_activate_totp"))
    assert "That code is not right" in words(confirmed.post(reverse("mfa_activate_totp"), {"code": "000000"}))
    assert not Authenticator.objects.exists()


def test_with_a_second_factor_a_code_confirms_too(confirmed: Client, client: Client, mechanic: Person) -> None:
    code = codes_on(confirmed)[0]
    signed_in(client, mechanic)
    session = client.session
    del session["account_authentication_methods"]
    session.save()
    address = client.get(reverse("mfa_generate_recovery_codes"))["Location"]
    assert "Use a code" in words(client.get(address))
    by_code = address.replace(reverse("account_reauthenticate"), reverse("mfa_reauthenticate"))
    assert "Use your password" in words(client.get(by_code))
    assert "That code is not right" in words(client.post(by_code, {"code": "00000000"}))
    assert client.post(by_code, {"code": code})["Location"] == reverse("mfa_generate_recovery_codes")


def test_passkeys_are_renamed_and_removed_by_their_owner_alone(
    confirmed: Client, mechanic: Person, inspector: Person
) -> None:
    own, other = passkey(mechanic), passkey(inspector, "Key of the inspector")
    listed = words(confirmed.get(reverse("token_list")))
    assert "Phone, not used yet" in listed
    assert "Key of the inspector" not in listed
    for name in ("mfa_edit_webauthn", "mfa_remove_webauthn"):
        assert confirmed.get(reverse(name, args=[other.pk])).status_code == 404
        assert confirmed.post(reverse(name, args=[other.pk]), {"name": "mine"}).status_code == 404
    confirmed.post(reverse("mfa_edit_webauthn", args=[own.pk]), {"name": "Phone of the hangar"})
    page = confirmed.get(reverse("mfa_remove_webauthn", args=[own.pk]))
    assert "Remove the passkey “Phone of the hangar”" in words(page)
    page = confirmed.post(reverse("mfa_remove_webauthn", args=[own.pk]), follow=True)
    assert "The passkey is removed." in words(page)
    assert list(Authenticator.objects.all()) == [other]


def test_a_new_password_ends_every_other_session(confirmed: Client, mechanic: Person) -> None:
    elsewhere = signed_in(Client(), mechanic)
    sheet = {"oldpassword": PASSWORD, "password1": NEW_PASSWORD, "password2": NEW_PASSWORD}
    page = words(confirmed.post(reverse("account_change_password"), sheet, follow=True))
    assert "Your password is changed." in page
    assert confirmed.get(reverse("engine_list")).status_code == 200
    assert elsewhere.get(reverse("engine_list")).status_code == 302
    mechanic.refresh_from_db()
    assert mechanic.check_password(NEW_PASSWORD)


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        ({"oldpassword": "guess"}, "That is not the password you have now."),
        ({"password2": "another one"}, "You must type the same password each time."),
        ({"password1": "password", "password2": "password"}, "This password is too common."),
        ({"oldpassword": ""}, "Give the password you have now."),
    ],
)
def test_a_password_that_does_not_do_changes_nothing(
    sheet: dict[str, str], says: str, confirmed: Client, mechanic: Person
) -> None:
    right = {"oldpassword": PASSWORD, "password1": NEW_PASSWORD, "password2": NEW_PASSWORD}
    response = confirmed.post(reverse("account_change_password"), right | sheet)
    assert says in words(response)
    mechanic.refresh_from_db()
    assert mechanic.check_password(PASSWORD)

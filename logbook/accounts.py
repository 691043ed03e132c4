"""How the accounts library speaks and decides here: no sign-up, our words, secrets of codes kept encrypted."""

import base64
import io
from typing import Any, ClassVar

import qrcode
from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.auth_backends import AuthenticationBackend
from allauth.core import context, ratelimit
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.models import Authenticator
from cryptography.fernet import Fernet
from django.contrib import messages
from django.contrib.auth import get_user_model
from django.contrib.auth.base_user import AbstractBaseUser
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.crypto import salted_hmac
from qrcode.image.svg import SvgPathFillImage

SITE = "Embermark"
WRONG_CODE = "That code is not right. A code of the app changes every half minute; a recovery code works once."
EXPIRED = "That one-time password was good for a week only. Ask the director of maintenance for a new one."
PAUSE = "Too many tries. Wait five minutes, then try again."

# What the library reports, by the name of its message; what does not stand here is not said.
DONE_WORDS = {
    "account/messages/password_changed.txt": "Your password is changed.",
    "mfa/messages/totp_activated.txt": "Codes from your app are asked for from now on.",
    "mfa/messages/totp_deactivated.txt": "Codes from an app are no longer asked for.",
    "mfa/messages/recovery_codes_generated.txt": "New recovery codes are made; older ones no longer work.",
    "mfa/messages/webauthn_added.txt": "The passkey is added.",
    "mfa/messages/webauthn_removed.txt": "The passkey is removed.",
}


class SignInBackend(AuthenticationBackend):
    """Signing in as the library does it; a person comes with the operator, whom every screen names."""

    def get_user(self, user_id: int) -> AbstractBaseUser | None:
        """Return the person of a session, or None where they may no longer come in."""
        person = get_user_model().objects.select_related("operator").filter(pk=user_id).first()
        return person if person is not None and self.user_can_authenticate(person) else None


# The counter of wrong passwords given to sign a record.
SIGNING = "signing"


def signing_fault(person: Any, password: str) -> str:
    """Return why a password does not sign, or nothing; wrong ones are counted, as on the sign-in screen."""
    counted = {"request": context.request, "action": SIGNING, "user": person}
    if not ratelimit.consume(**counted, dry_run=True):
        return PAUSE
    if person.check_password(password):
        return ""
    ratelimit.consume(**counted)
    return "That is not the password of your account; nothing was signed."


class AccountAdapter(DefaultAccountAdapter):
    """Signing in with a name and a password; accounts are made by the director, never by a visitor."""

    error_messages: ClassVar[dict[str, Any]] = {
        **DefaultAccountAdapter.error_messages,
        "username_password_mismatch": (
            "That name and password do not belong together. Check both; capitals count in the password."
        ),
        "too_many_login_attempts": PAUSE,
        "rate_limited": PAUSE,
        "incorrect_password": "That is not your password. Capitals count.",
        "enter_current_password": "That is not the password you have now. Capitals count.",
        "incorrect_code": WRONG_CODE,
    }

    def pre_login(self, request: HttpRequest, user: Any, **about: Any) -> HttpResponse | None:
        """Refuse a one-time password that was not replaced within its week, and say what helps."""
        if user.is_active and user.has_expired:
            messages.error(request, EXPIRED)
            return redirect("sign_in")
        refused: HttpResponse | None = super().pre_login(request, user, **about)
        return refused

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        """Return where one goes on after setting a password."""
        return reverse("token_list")

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Return that nobody can make an account for themselves."""
        return False

    def add_message(self, request: HttpRequest, level: int, *args: Any, **kwargs: Any) -> None:
        """Say what is worth saying, in our words."""
        template = args[0] if args else kwargs.get("message_template")
        said = kwargs.get("message") or DONE_WORDS.get(template or "")
        if said:
            messages.add_message(request, level, said)


class SecondFactorAdapter(DefaultMFAAdapter):
    """Codes and passkeys."""

    error_messages: ClassVar[dict[str, Any]] = {
        **DefaultMFAAdapter.error_messages,
        "incorrect_code": WRONG_CODE,
        "cannot_generate_recovery_codes": "Recovery codes stand in for a passkey or an app: add one of those first.",
    }

    def get_totp_issuer(self) -> str:
        """Return under which name an app lists the codes."""
        return SITE

    def build_totp_svg(self, url: str) -> str:
        """Return the picture for the app, on a white ground of its own, as no camera reads black on a dark page."""
        stream = io.BytesIO()
        qrcode.make(url, image_factory=SvgPathFillImage).save(stream)
        return stream.getvalue().decode()

    def generate_authenticator_name(self, user: Any, type: Authenticator.Type) -> str:
        """Return the name a passkey has until its owner gives it another."""
        return f"Passkey {Authenticator.objects.filter(user=user, type=type).count() + 1}"

    def get_public_key_credential_rp_entity(self) -> dict[str, str]:
        """Return the site as a passkey knows it."""
        return {**super().get_public_key_credential_rp_entity(), "name": SITE}

    def encrypt(self, text: str) -> str:
        """Return a secret as it is stored: a copy of the database alone makes no codes."""
        return _cipher().encrypt(text.encode()).decode()

    def decrypt(self, encrypted_text: str) -> str:
        """Return a stored secret."""
        return _cipher().decrypt(encrypted_text.encode()).decode()


def _cipher() -> Fernet:
    """Return the cipher that the site's secret makes."""
    digest = salted_hmac("logbook.accounts.second-factor", "", algorithm="sha256").digest()
    return Fernet(base64.urlsafe_b64encode(digest))

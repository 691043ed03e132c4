"""The sheets of an account: signing in, confirming, the password, codes, passkeys and tokens."""

from collections.abc import Callable
from typing import Any

from allauth.account import forms as account_forms
from allauth.mfa.base import forms as code_forms
from allauth.mfa.totp.forms import ActivateTOTPForm
from allauth.mfa.webauthn import forms as passkey_forms
from django import forms

from logbook.accounts import EXPIRED
from logbook.forms.fields import TEXT, Sheet
from logbook.models import ApiToken

CODE = {"autocomplete": "one-time-code", "inputmode": "numeric", "spellcheck": "false"}


class Plain(forms.Form):
    """Gives a sheet of the library our words and our bare boxes."""

    words: dict[str, tuple[str, str, str]] = {}
    boxes: dict[str, dict[str, str]] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"label_suffix": "", **kwargs})
        for name, (label, hint, missing) in self.words.items():
            field = self.fields[name]
            field.label, field.help_text = label, hint
            field.error_messages["required"] = missing
            field.widget.attrs.pop("placeholder", None)
            field.widget.attrs.update(self.boxes.get(name, {}))


class SignInForm(Plain, account_forms.LoginForm):
    """Name and password; the refusal does not say which of the two was wrong."""

    words = {
        "login": ("Name you sign in with", "", "Give the name you sign in with."),
        "password": ("Password", "", "Give your password."),
    }
    boxes = {"login": {"autocapitalize": "none", "spellcheck": "false"}}


class PasswordForm(Plain, account_forms.ReauthenticateForm):
    """The password once more, before what protects the account is changed."""

    words = {"password": ("Password", "", "Give your password.")}


class ChangePasswordForm(Plain, account_forms.ChangePasswordForm):
    """The password as it is, and twice as it shall be."""

    words = {
        "oldpassword": ("Password you have now", "", "Give the password you have now."),
        "password1": ("New password", "Eight characters or more, and not a common word.", "Give a new password."),
        "password2": ("New password, once more", "", "Give the new password a second time."),
    }

    def clean(self) -> Any:
        """Refuse a one-time password as the own one."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        new = data.get("password1")
        if self.user.has_expired:
            self.add_error("oldpassword", EXPIRED)
        if new and new == data.get("oldpassword"):
            self.add_error("password1", "That is the password you have now; choose another.")
        return data

    def save(self) -> None:
        """Set the password, which is the person's own from now on."""
        self.user.must_change_password, self.user.one_time_until = False, None
        super().save()


class CodeForm(Plain, code_forms.AuthenticateForm):
    """The code that follows the password."""

    words = {"code": ("Code", "From your app, or one of your recovery codes.", "Give a code.")}
    boxes = {"code": CODE}


class ConfirmCodeForm(Plain, code_forms.ReauthenticateForm):
    """A code, before what protects the account is changed."""

    words, boxes = CodeForm.words, CodeForm.boxes


class FirstCodeForm(Plain, ActivateTOTPForm):
    """The first code of an app, which shows that it was set up."""

    words = {"code": ("Code that the app shows now", "", "Give the code that the app shows.")}
    boxes = {"code": CODE}


NO_PASSKEY = ("", "", "No passkey was used. Use your password, if this device has none.")
NOT_TAKEN = "That passkey was not accepted. Try again, or use your password."


class Credential(Plain):
    """What a device sent of a passkey: whatever is wrong with it, it is refused in the same words."""

    def clean_credential(self) -> Any:
        """Return whose passkey it is."""
        return refused_alike(super().clean_credential)  # type: ignore[misc]


def refused_alike(read: Callable[[], Any]) -> Any:
    """Return what a reader of the library makes of what was sent; it may stumble over what no device would send."""
    try:
        return read()
    except forms.ValidationError as error:
        if error.code != "incorrect_code":
            raise
        raise forms.ValidationError(NOT_TAKEN) from error
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise forms.ValidationError(NOT_TAKEN) from error


class PasskeyForm(Plain, passkey_forms.AddWebAuthnForm):
    """A new passkey, its name, and whether it may stand in for the password."""

    words = {
        "name": ("Name of the passkey", "To know it by later: the phone or the key it lives on.", ""),
        "passwordless": (
            "It may sign me in without a password",
            "The device then asks for a finger, a face or a PIN each time.",
            "",
        ),
        "credential": NO_PASSKEY,
    }

    def clean(self) -> Any:
        """Return what was sent, the passkey checked."""
        return refused_alike(super().clean)


class PasskeySignInForm(Credential, passkey_forms.LoginWebAuthnForm):
    """A passkey in place of name and password."""

    words = {"credential": NO_PASSKEY}


class PasskeyStepForm(Credential, passkey_forms.AuthenticateWebAuthnForm):
    """A passkey after the password."""

    words = {"credential": NO_PASSKEY}


class ConfirmPasskeyForm(Credential, passkey_forms.ReauthenticateWebAuthnForm):
    """A passkey, before what protects the account is changed."""

    words = {"credential": NO_PASSKEY}


class PasskeyNameForm(Plain, passkey_forms.EditWebAuthnForm):
    """Another name for a passkey."""

    words = {"name": ("Name of the passkey", "", "Give it a name.")}


class TokenForm(Sheet):
    """A new token: what it is for, and what it may do."""

    label = forms.CharField(
        label="What it is for",
        max_length=80,
        widget=forms.TextInput(TEXT),
        help_text="To know it by later: the program or the box that will hold it.",
    )
    scope = forms.ChoiceField(
        label="What it may do",
        choices=ApiToken.Scope.choices,
        widget=forms.RadioSelect,
        help_text="No more than it needs.",
    )
    required_words = {"label": "Say what the token is for.", "scope": "Choose what the token may do."}

"""The sheets on which an entry is signed."""

from datetime import datetime
from typing import Any

from allauth.mfa.webauthn.forms import AuthenticateWebAuthnForm
from django import forms
from django.utils import timezone

from inspections import states
from logbook.accounts import signing_fault
from logbook.forms.fields import TEXT, DayField, Sheet
from logbook.models import Certificate, Person
from logbook.signing import PASSKEY, PASSWORD, Signing

OUTCOMES = [(state, states.LABELS[state]) for state in (states.APPROVED, states.NOT_APPROVED)]
SECRETS = ("read", "device_at", "password", "credential")


class SigningSheet(Sheet):
    """By whose certificate an entry is signed, and the signer's secret at that moment.

    ``asks_secret`` is False for the first of the two steps, in which the text is read.
    """

    certificate = forms.ModelChoiceField(
        label="Your certificate", queryset=Certificate.objects.none(), empty_label="Choose a certificate"
    )
    read = forms.CharField(widget=forms.HiddenInput)
    device_at = forms.CharField(required=False, widget=forms.HiddenInput({"data-clock": ""}))
    password = forms.CharField(
        label="Your password, to sign",
        strip=False,
        widget=forms.PasswordInput({"autocomplete": "current-password"}),
    )
    credential = forms.CharField(required=False, widget=forms.HiddenInput)
    required_words = {
        "certificate": "Choose the certificate by which you sign.",
        "password": "Give your password; it is your signature.",
        "read": "Read the text first; what nobody has read is not signed.",
    }

    def __init__(self, *args: Any, person: Person, asks_secret: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person
        if not asks_secret:
            for name in SECRETS:
                del self.fields[name]
        elif self.data.get("credential"):
            self.fields["password"].required = False
        self.fields["certificate"].queryset = person.certificates.filter(replaced_by=None)  # type: ignore[attr-defined]

    @property
    def carried(self) -> list[forms.BoundField]:
        """Return the boxes that go on unseen to the step at which the secret is asked for."""
        return [self[name] for name in self.fields if name not in SECRETS]

    def own_fields(self) -> list[forms.BoundField]:
        """Return the boxes of the act, the certificate last; what belongs to signing is left out."""
        names = [name for name in self.fields if name not in ("certificate", *SECRETS)]
        return [self[name] for name in [*names, "certificate"]]

    def clean_password(self) -> str:
        """Refuse anybody but the person who is signed in."""
        password: str = self.cleaned_data["password"]
        if not password and not self.fields["password"].required:
            return ""
        if fault := signing_fault(self.person, password):
            raise forms.ValidationError(fault)
        return password

    def clean_credential(self) -> str:
        """Refuse what is not the answer of a passkey of the person who is signed in, given to this very question."""
        credential: str = self.cleaned_data["credential"]
        if credential and not AuthenticateWebAuthnForm({"credential": credential}, user=self.person).is_valid():
            raise forms.ValidationError("That passkey is not one of yours, or took too long; nothing was signed.")
        return credential

    def clean_device_at(self) -> datetime | None:
        """Return the device's clock, or None where it sent nothing that is a time."""
        try:
            moment = datetime.fromisoformat(self.cleaned_data["device_at"])
        except ValueError:
            return None
        return moment if timezone.is_aware(moment) else None

    def signing(self, meaning: str = "") -> Signing:
        """Return how the person signs."""
        data = self.cleaned_data
        factor = PASSKEY if data.get("credential") else PASSWORD
        return Signing(factor, meaning, data.get("certificate"), data.get("device_at"))


class RunSignForm(SigningSheet):
    """How a run is signed; a certificate is named where the signer has one."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["certificate"].required = False


class SignForm(SigningSheet):
    """How the inspection ends."""

    outcome = forms.ChoiceField(label="It ends", choices=OUTCOMES, widget=forms.RadioSelect)
    extent = forms.CharField(
        label="What was inspected and done",
        widget=forms.Textarea({**TEXT, "rows": 4}),
        help_text="A brief account, as it is to stand in the entry.",
    )
    completed_on = DayField(label="Work completed on")
    given_to = forms.CharField(
        label="List of discrepancies given to",
        required=False,
        max_length=160,
        widget=forms.TextInput(TEXT),
        help_text="Only if it is not approved: who was given the list.",
    )
    limitations = forms.CharField(
        label="Limitations to airworthiness or operation",
        required=False,
        max_length=240,
        widget=forms.TextInput(TEXT),
        help_text="Only where your rules want it said. Write none where there are none.",
    )
    incomplete = forms.CharField(
        label="Work left incomplete",
        required=False,
        max_length=240,
        widget=forms.TextInput(TEXT),
        help_text="Only where your rules want it said. Write none where there is none.",
    )
    justification = forms.CharField(
        label="Why something overdue may stand",
        required=False,
        max_length=240,
        widget=forms.TextInput(TEXT),
        help_text="Only where something on this engine is overdue.",
    )
    required_words = {
        **SigningSheet.required_words,
        "outcome": "Choose how it ends.",
        "extent": "Say briefly what was inspected and done.",
        "completed_on": "Give the day on which the work was completed.",
    }

    def clean_completed_on(self) -> Any:
        """Refuse work that is said to be completed after today."""
        completed_on = self.cleaned_data["completed_on"]
        if completed_on > timezone.localdate():
            raise forms.ValidationError("That day is still to come. Give the day on which the work was completed.")
        return completed_on

    def clean(self) -> dict[str, Any]:
        """Refuse a disapproval that nobody was told of."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("outcome") == states.NOT_APPROVED and not data.get("given_to"):
            self.add_error("given_to", "Say who was given the list of discrepancies.")
        return data

"""The sheet on which an inspection is signed."""

from typing import Any

from django import forms
from django.utils import timezone

from inspections import states
from logbook.accounts import signing_fault
from logbook.forms.fields import TEXT, DayField, Sheet
from logbook.models import Certificate, Person

OUTCOMES = [(state, states.LABELS[state]) for state in (states.APPROVED, states.NOT_APPROVED)]


class SignForm(Sheet):
    """How the inspection ends, by whose certificate, and the signer's password at that moment."""

    outcome = forms.ChoiceField(label="It ends", choices=OUTCOMES, widget=forms.RadioSelect)
    extent = forms.CharField(
        label="What was inspected and done",
        widget=forms.Textarea({**TEXT, "rows": 4}),
        help_text="A brief account, as it is to stand in the entry.",
    )
    completed_on = DayField(label="Work completed on")
    certificate = forms.ModelChoiceField(
        label="Your certificate", queryset=Certificate.objects.none(), empty_label="Choose a certificate"
    )
    given_to = forms.CharField(
        label="List of discrepancies given to",
        required=False,
        max_length=160,
        widget=forms.TextInput(TEXT),
        help_text="Only if it is not approved: who was given the list.",
    )
    read = forms.CharField(required=False, widget=forms.HiddenInput)
    password = forms.CharField(
        label="Your password, to sign",
        strip=False,
        widget=forms.PasswordInput({"autocomplete": "current-password"}),
    )
    required_words = {
        "outcome": "Choose how it ends.",
        "extent": "Say briefly what was inspected and done.",
        "completed_on": "Give the day on which the work was completed.",
        "certificate": "Choose the certificate by which you sign.",
        "password": "Give your password; it is your signature.",
    }

    def __init__(self, *args: Any, person: Person, asks_password: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person
        if not asks_password:
            del self.fields["password"], self.fields["read"]
        self.fields["certificate"].queryset = person.certificates.filter(replaced_by=None)  # type: ignore[attr-defined]

    def clean_password(self) -> str:
        """Refuse anybody but the person who is signed in."""
        password: str = self.cleaned_data["password"]
        if fault := signing_fault(self.person, password):
            raise forms.ValidationError(fault)
        return password

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

"""The sheets on which a package is sent and signed for."""

from typing import Any

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.utils import timezone

from engines.models import PartMovement
from logbook.forms.fields import TEXT, DayField, Sheet
from logbook.forms.parts import PASSWORD_WORDS, PartSheet, text
from logbook.forms.signing import RunSignForm
from logbook.handover.giving import Giving
from logbook.handover.words import CUSTODY, FORMS


class PackageForm(Sheet):
    """The package, and the owner's key where it is known."""

    file = forms.FileField(label="The package", help_text="The ZIP file as it was handed over, not unpacked.")
    key = forms.CharField(
        label="The owner's key, if you have it",
        required=False,
        max_length=400,
        widget=forms.TextInput(TEXT),
        help_text="From the owner itself, not out of the package.",
    )
    file_box = "file"
    required_words = {"file": "Choose the package."}

    def clean_file(self) -> "UploadedFile[Any] | None":
        """Refuse a file that is too large to be taken."""
        file: UploadedFile[Any] | None = self.cleaned_data["file"]
        most = settings.PACKAGE_UPLOAD_MAX_BYTES
        if file is not None and (file.size or 0) > most:
            raise forms.ValidationError(
                f"The package is larger than {most // 2**20} MB. Take it in with manage.py package_import instead."
            )
        return file


class PackageSignForm(RunSignForm):
    """How it is signed that a record was taken in."""


class PackageGiveForm(PartSheet):
    """To whom a record goes, in which form, and who keeps it."""

    to = text("The new owner", 120)
    on = DayField(label="Handed over on")
    custody = forms.ChoiceField(label="Who keeps the records", choices=list(CUSTODY.items()), widget=forms.RadioSelect)
    agreed_by = text(
        "Agreed by, for the new owner", 120, required=False, help_text="Only if you keep the records of work."
    )
    form = forms.ChoiceField(label="In which form", choices=list(FORMS.items()), widget=forms.RadioSelect)
    available = text(
        "Where the records can be inspected", 160, help_text="Name and address, for the authority (14 CFR 91.419)."
    )
    control = forms.ChoiceField(
        label="What goes with the part",
        choices=[("", "As recorded when it was removed"), *PartMovement.Control.choices],
        required=False,
    )
    remarks = text("Remarks", 240, required=False)
    required_words = {
        **PASSWORD_WORDS,
        "to": "Name the new owner.",
        "on": "Give the day on which it is handed over.",
        "custody": "Choose who keeps the records.",
        "form": "Choose the form.",
        "available": "Say where the records can be inspected.",
    }

    def __init__(self, *args: Any, is_part: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not is_part:
            del self.fields["control"]

    def clean_on(self) -> Any:
        """Refuse a day that is still to come."""
        on = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise forms.ValidationError("That day is still to come. Sign it on the day on which you hand it over.")
        return on

    def giving(self) -> Giving:
        """Return what was said."""
        names = ("to", "on", "custody", "form", "available", "agreed_by", "remarks", "control")
        return Giving(**{name: self.cleaned_data[name] for name in names if name in self.cleaned_data})


class HandoverVoidForm(PartSheet):
    """Why a hand-over came to nothing."""

    why = text("Why it is void", 240)
    required_words = {**PASSWORD_WORDS, "why": "Say why it is void."}

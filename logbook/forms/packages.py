"""The sheets on which a package is sent and signed for."""

from typing import Any

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile

from logbook.forms.fields import TEXT, Sheet
from logbook.forms.signing import RunSignForm


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

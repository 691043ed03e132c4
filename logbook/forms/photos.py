"""The sheet on which a photo is added: taken now, or one that the device has."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile

from engines.errors import DomainError
from logbook.forms.fields import TEXT, Sheet
from logbook.forms.parts import PartSheet

TAKEN = {"accept": "image/*", "capture": "environment"}
CHOSEN = {"accept": "image/jpeg,image/png,image/webp"}
LONGEST = 240


def photo_read(file: "UploadedFile[Any]") -> bytes:
    """Return what a file holds; DomainError "photo_unusable" where it is larger than photos are taken."""
    most = settings.PHOTO_UPLOAD_MAX_BYTES
    if (file.size or 0) > most:
        raise DomainError(f"The photo is larger than {most // 2**20} MB. Choose a smaller one.", code="photo_unusable")
    data: bytes = file.read()
    return data


class PhotoForm(Sheet):
    """A photo and what it shows; ``about`` says of what it is, where there is more than one thing."""

    about = forms.ChoiceField(label="Of what")
    file = forms.FileField(label="Take a photo", required=False, widget=forms.FileInput(TAKEN))
    chosen = forms.FileField(label="Or a picture from this device", required=False, widget=forms.FileInput(CHOSEN))
    caption = forms.CharField(label="What it shows", required=False, max_length=LONGEST, widget=forms.TextInput(TEXT))

    def __init__(self, *args: Any, things: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        about = self.fields["about"]
        assert isinstance(about, forms.ChoiceField)
        about.choices = things
        if len(things) == 1:
            about.widget, about.initial = forms.HiddenInput(), things[0][0]

    def clean(self) -> dict[str, Any]:
        """Read the one photo that was given."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        given = data.get("file") or data.get("chosen")
        if given is None and not self.errors:
            self.add_error("file", "Take a photo first, or choose a picture.")
        elif given is not None:
            try:
                data["bytes"] = photo_read(given)
            except DomainError as error:
                self.add_error("file" if data.get("file") else "chosen", error.message)
        return data


class AddendumForm(PartSheet):
    """How the addendum that takes photos up is signed; a certificate is named where the signer has one."""

    remarks = forms.CharField(label="Remarks", required=False, max_length=LONGEST, widget=forms.TextInput(TEXT))

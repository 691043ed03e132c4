"""The sheet on which a new revision of a type's limits is entered."""

import json
from typing import Any

from django import forms

from engines.errors import DomainError
from logbook.forms.fields import TEXT, DayField, Sheet

MOST_BYTES = 2_000_000


class LimitsForm(Sheet):
    """A document, where it comes from, and from which day it is in force."""

    file = forms.FileField(label="The document, as a file", required=False, help_text="JSON.")
    text = forms.CharField(
        label="Or the document, pasted",
        required=False,
        widget=forms.Textarea({**TEXT, "rows": 10, "spellcheck": "false"}),
    )
    source = forms.CharField(
        label="Source",
        max_length=240,
        widget=forms.TextInput(TEXT),
        help_text="The approved data these limits come from: document, revision, section.",
    )
    in_force_from = DayField(
        label="In force from", help_text="Runs of this day and later are judged by it, once adopted."
    )
    required_words = {
        "source": "Name the document that the limits come from, its revision and section.",
        "in_force_from": "Give the day from which the limits are in force.",
    }

    def clean(self) -> dict[str, Any]:
        """Read the document, from the file or from the box, but not from both."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        file, text = data.get("file"), data.get("text")
        if bool(file) == bool(text):
            self.add_error("text", "Give the document once: as a file, or pasted.")
            return data
        name = "file" if file else "text"
        try:
            data["document"] = json.loads(self._bytes(file) if file else str(text))
        except (ValueError, RecursionError) as error:
            self.add_error(name, f"This is not JSON that can be read: {error}.")
        return data

    def _bytes(self, file: Any) -> bytes:
        if file.size > MOST_BYTES:
            raise ValueError(f"the file has {file.size} bytes, more than {MOST_BYTES}")
        content: bytes = file.read()
        return content

    def refuse(self, error: DomainError) -> None:
        """List every path of the document that is wrong, over the boxes."""
        paths = {path: words for path, words in error.fields.items() if path not in self.fields}
        for said in [f"{path}: {words}" for path, words in paths.items()] or [error.message]:
            self.add_error(None, said)

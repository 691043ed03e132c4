"""The boxes by which a list is narrowed, in the words of the screens."""

from typing import Any

from django import forms
from django.forms import BoundField

DAYS = ("from", "to")
BLANK = ("", "unknown", None)


def list_fields(filtered: Any, names: tuple[str, ...], **unasked: str) -> list[BoundField]:
    """Return some boxes of a filter set; each choice that asks for nothing gets its words, days get a calendar."""
    form = filtered.form
    for name, words in unasked.items():
        widget = form.fields[name].widget
        widget.choices = [("", words), *((value, label) for value, label in widget.choices if value not in BLANK)]
    for name in DAYS:
        if name in form.fields:
            form.fields[name].widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    return [form[name] for name in names]

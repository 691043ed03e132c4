"""The sheet on which an open job is handed over."""

from typing import Any

from django import forms

from inspections.actions import HandoverFacts
from inspections.models import Inspection
from logbook.access import ACTS
from logbook.forms.fields import TEXT, Sheet
from logbook.models import Person

NONE = "Write “none” where there is none."


def said(label: str, help_text: str) -> forms.CharField:
    """Return a box for what has to be said."""
    return forms.CharField(label=label, help_text=help_text, widget=forms.Textarea({**TEXT, "rows": 2}))


class HandoverForm(Sheet):
    """What is done, what is not, what to watch for, which parts are off, and who was told."""

    done = said("Done", NONE)
    not_done = said("Not done", NONE)
    watch_for = said("Watch for", NONE)
    parts_off = said("Parts off", f"What is off the engine, and where it lies. {NONE}")
    told_to = forms.ModelChoiceField(
        label="Told face to face",
        queryset=Person.objects.none(),
        empty_label="Choose the person",
        help_text="Who takes over. Tell them at the engine, and then write it here.",
    )
    required_words = {
        "done": "Say what is done, or write “none”.",
        "not_done": "Say what is not done, or write “none”.",
        "watch_for": "Say what to watch for, or write “none”.",
        "parts_off": "Say which parts are off, or write “none”.",
        "told_to": "Choose the person whom you told.",
    }

    def __init__(self, *args: Any, inspection: Inspection, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Person.objects.filter(operator=inspection.operator_id, is_active=True).exclude(pk=by.pk)
        workers = people.filter(role__in=ACTS["inspection.work"]).order_by("last_name", "first_name", "username")
        self.fields["told_to"].queryset = workers  # type: ignore[attr-defined]

    def facts(self) -> HandoverFacts:
        """Return what was said."""
        return HandoverFacts(**{name: self.cleaned_data[name] for name in HandoverFacts.__dataclass_fields__})

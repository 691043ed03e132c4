"""The sheet on which a concern is settled."""

from django import forms

from logbook.desk import Settlement
from logbook.forms.fields import TEXT, Sheet


class SettleForm(Sheet):
    """One decision, and why."""

    decision = forms.ChoiceField(label="Decision", choices=Settlement.Decision.choices, widget=forms.RadioSelect)
    note = forms.CharField(
        label="Note",
        widget=forms.Textarea({**TEXT, "rows": 3}),
        help_text="What you looked at, and why it is decided so.",
    )
    required_words = {"decision": "Choose what is decided.", "note": "Say in a note why it is decided so."}

"""The sheets of an inspection's work: steps, findings, actions, cause, who has it."""

from typing import Any

from django import forms

from inspections.models import Finding, Inspection, Step
from logbook.forms.fields import TEXT, DayField, Sheet


class StepForm(Sheet):
    """What a person says of one step; the answer is the button that was pressed."""

    answer = forms.ChoiceField(label="Answer", choices=Step.Answer.choices)
    reason = forms.CharField(
        label="Reason",
        required=False,
        max_length=240,
        widget=forms.TextInput(TEXT),
        help_text="Say why, in a few words.",
    )
    required_words = {"answer": "Choose an answer."}

    def clean(self) -> dict[str, Any]:
        """Refuse any answer but "Done" that gives no reason."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("answer") not in (None, Step.Answer.DONE) and not data.get("reason"):
            self.add_error("reason", "Say why it was not done, or why it does not apply.")
        return data


class NoteForm(Sheet):
    """A note beside the inspection."""

    text = forms.CharField(label="Note", widget=forms.Textarea({**TEXT, "rows": 3}))
    required_words = {"text": "Write the note first."}


class FindingForm(Sheet):
    """A discrepancy."""

    text = forms.CharField(label="What was found", widget=forms.Textarea({**TEXT, "rows": 3}))
    required_words = {"text": "Say what was found."}


class ActionForm(Sheet):
    """What was done, to which data, and when it was completed."""

    description = forms.CharField(label="What was done", widget=forms.Textarea({**TEXT, "rows": 3}))
    data_reference = forms.CharField(
        label="Worked to",
        max_length=240,
        widget=forms.TextInput(TEXT),
        help_text="Document, revision and section of the approved data.",
    )
    completed_on = DayField(label="Completed on")
    finding = forms.ModelChoiceField(
        label="For which finding", queryset=Finding.objects.none(), required=False, empty_label="None of them"
    )
    required_words = {
        "description": "Say what was done.",
        "data_reference": "Name the document, its revision and the section worked to.",
        "completed_on": "Give the day on which it was completed.",
    }

    def __init__(self, *args: Any, inspection: Inspection, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        findings, field = inspection.findings.all(), self.fields["finding"]
        field.queryset = findings  # type: ignore[attr-defined]
        # Taken from what is read already, where the page has read it.
        field.choices = [("", "None of them"), *((finding.pk, str(finding)) for finding in findings)]  # type: ignore[attr-defined]


class CauseForm(Sheet):
    """How far the cause is known."""

    cause = forms.ChoiceField(label="The cause", choices=Inspection.Cause.choices, widget=forms.RadioSelect)
    text = forms.CharField(
        label="What it was", required=False, widget=forms.Textarea({**TEXT, "rows": 2}), help_text="If it was found."
    )
    required_words = {"cause": "Choose how far the cause is known."}

    def clean(self) -> dict[str, Any]:
        """Refuse a cause that was found but is not named."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("cause") not in (None, Inspection.Cause.NOT_FOUND) and not data.get("text"):
            self.add_error("text", "Say what the cause was.")
        return data

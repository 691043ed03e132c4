"""The sheet on which the entry of a task is corrected: what was recorded, in the boxes that it was recorded in."""

from dataclasses import replace
from typing import Any

from django import forms

from engines.actions import Accomplishment
from engines.counters import SECONDS, counter_of
from engines.models import TaskRecord
from engines.standing import Standing
from logbook.forms.corrections import CorrectingSheet, hours_box
from logbook.forms.due import TaskDoneForm
from logbook.forms.fields import TEXT
from logbook.forms.part_corrections import told


class TaskCorrectForm(TaskDoneForm, CorrectingSheet):
    """What was recorded of a task, as it was signed; counters that nobody changed stay to the second."""

    required_words = {**TaskDoneForm.required_words, **CorrectingSheet.required_words}

    def __init__(self, *args: Any, row: TaskRecord, standing: Standing, **kwargs: Any) -> None:
        self.row = row
        stated = {f"used_{name}": _box(name, amount) for name, amount in row.stated.items()}
        initial = stated | told(row, "outcome", "on", "method", "reference", "remarks")
        super().__init__(*args, standing=standing, initial=initial | kwargs.pop("initial", {}), **kwargs)

    def said(self) -> Accomplishment:
        """Return what is recorded; what was stated of a counter that has no box now stands."""
        said, boxes = super().said(), {name: f"used_{name}" for name in self.counters}
        kept = {n: amount for n, amount in self.row.stated.items() if boxes.get(n, "") not in self.changed_data}
        return replace(said, used={**(said.used or {}), **kept} or None)


class ExtensionCorrectForm(CorrectingSheet):
    """Why a task was extended, as it was signed; what its source grants has no box."""

    method = forms.CharField(label="Why it is extended", max_length=240, widget=forms.TextInput(TEXT))
    required_words = {**CorrectingSheet.required_words, "method": "Say why it is extended."}

    def __init__(self, *args: Any, row: TaskRecord, standing: Standing, **kwargs: Any) -> None:
        self.row = row
        super().__init__(*args, initial=told(row, "method") | kwargs.pop("initial", {}), **kwargs)
        self.fields["certificate"].required = self.person.certificates.exists()

    def said(self) -> Accomplishment:
        """Return what is recorded."""
        return Accomplishment(self.row.outcome, self.row.on, self.cleaned_data["method"])


def _box(name: str, amount: int) -> str | None:
    return hours_box(amount) if counter_of(name).unit == SECONDS else str(amount)

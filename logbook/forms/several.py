"""The sheet on which several inspections are given to one person."""

from typing import Any

from django import forms

from logbook.access import ACTS
from logbook.forms.fields import Sheet
from logbook.models import Person


class AssignSeveralForm(Sheet):
    """Who gets the inspections."""

    to = forms.ModelChoiceField(label="Who gets them", queryset=Person.objects.none(), empty_label="Choose a person")
    required_words = {"to": "Choose a person."}

    def __init__(self, *args: Any, operator: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Person.objects.filter(operator=operator, is_active=True, role__in=ACTS["inspection.work"])
        workers = people.order_by("last_name", "first_name", "username")
        self.fields["to"].queryset = workers  # type: ignore[attr-defined]

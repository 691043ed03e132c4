"""The boxes of a supervised start: the trainee, and who supervised, of those whose certificate covers it."""

from collections.abc import Mapping
from typing import Any

from django import forms

from engines.models import Engine
from logbook.forms.fields import TEXT
from logbook.models import Person
from logbook.supervising import supervisors_of


class SupervisorField(forms.TypedChoiceField):
    """A choice of those who may supervise; its value is the person, None for nobody."""

    def __init__(self, people: Mapping[str, str]) -> None:
        super().__init__(
            label="Supervised by",
            required=False,
            choices=[("", "Nobody: no trainee"), *people.items()],
            coerce=lambda key: Person.objects.get(pk=key),
            empty_value=None,
            help_text="Only where a trainee made the start. Their certificate has to cover it on that day.",
        )


def people_fields(engine: Engine) -> Mapping[str, forms.Field]:
    """Return the boxes for the two people of a supervised start, by name."""
    trainee = forms.CharField(
        label="Started by a trainee",
        required=False,
        max_length=160,
        widget=forms.TextInput(TEXT),
        help_text="The trainee's name. Leave it empty where nobody was supervised.",
    )
    return {"trainee": trainee, "supervisor": SupervisorField(supervisors_of(engine))}


def people_said(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return the two people as a run states them."""
    return {"trainee": data["trainee"].strip(), "supervisor": data["supervisor"]}

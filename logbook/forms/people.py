"""The sheets on which certificates and the list of who may inspect what are kept."""

from typing import Any

from django import forms

from engines.models import EngineType
from logbook.desk import Authorization
from logbook.forms.fields import TEXT, DayField, Sheet
from logbook.models import Person
from logbook.people import Line
from logbook.queries import required_items
from logbook.roles import Role
from logbook.statements.coverage import COVERS

EVERY_ITEM = ("", "Every one")


class CertificateForm(Sheet):
    """What entitles a person to sign."""

    kind = forms.CharField(
        label="Kind", max_length=120, widget=forms.TextInput(TEXT), help_text="As it stands on the certificate."
    )
    number = forms.CharField(label="Number", max_length=60, widget=forms.TextInput(TEXT))
    ratings = forms.CharField(label="Ratings", max_length=120, required=False, widget=forms.TextInput(TEXT))
    covers = forms.MultipleChoiceField(
        label="What it covers",
        choices=list(COVERS.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="By this an act of signing is allowed or refused. Tick none where it entitles to sign for no work.",
    )
    valid_from = DayField(label="Valid from", required=False, help_text="Empty: no day is named.")
    valid_until = DayField(label="Valid to, this day included", required=False, help_text="Empty: it does not end.")
    required_words = {"kind": "Say what kind of certificate it is.", "number": "Give its number."}


class NewcomerForm(Sheet):
    """Whose account is opened."""

    first_name = forms.CharField(label="First name", max_length=150, widget=forms.TextInput(TEXT))
    last_name = forms.CharField(label="Last name", max_length=150, widget=forms.TextInput(TEXT))
    username = forms.CharField(
        label="Name to sign in with",
        max_length=150,
        widget=forms.TextInput({**TEXT, "autocapitalize": "none", "spellcheck": "false"}),
        help_text="Letters, digits and @ . + - _ only. It stays with this person for good.",
    )
    role = forms.ChoiceField(label="Role", choices=Role.choices, widget=forms.RadioSelect)
    required_words = {
        "first_name": "Give the first name.",
        "last_name": "Give the last name.",
        "username": "Give a name to sign in with.",
        "role": "Choose a role.",
    }


class RoleForm(Sheet):
    """Which role a person has from now on."""

    role = forms.ChoiceField(label="Role", choices=Role.choices, widget=forms.RadioSelect)
    required_words = {"role": "Choose a role."}


class AuthorizationForm(Sheet):
    """Who may inspect what, and from when."""

    person = forms.ModelChoiceField(label="Person", queryset=Person.objects.none(), empty_label="Choose a person")
    title = forms.CharField(label="Title", max_length=120, widget=forms.TextInput(TEXT))
    inspections = forms.CharField(
        label="Inspections allowed",
        widget=forms.Textarea({**TEXT, "rows": 4}),
        help_text="In the words of your manual, as the list prints it.",
    )
    engine_type = forms.ModelChoiceField(
        label="On which engines",
        queryset=EngineType.objects.none(),
        required=False,
        empty_label="Engines of every type",
    )
    only = forms.ChoiceField(
        label="Which of their required inspection items",
        required=False,
        help_text="Whom no line lets inspect an item can't take its second look. For several items, write several.",
    )
    begins_on = DayField(label="From")
    required_words = {
        "person": "Choose a person.",
        "title": "Give the person's title.",
        "inspections": "Say which inspections are allowed.",
        "begins_on": "Give the day from which it holds.",
    }

    def __init__(self, *args: Any, operator: int, line: Authorization | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Person.objects.filter(operator=operator, is_active=True)
        people = people.filter(pk=line.person_id) if line else people
        kept_name = [(line.only, line.only)] if line and line.only else []
        names = [(name, name) for name in required_items(operator)]
        self.fields["only"].choices = [EVERY_ITEM, *dict.fromkeys(kept_name + names)]  # type: ignore[attr-defined]
        types = EngineType.objects.filter(operator=operator).order_by("name")
        self.fields["engine_type"].queryset = types  # type: ignore[attr-defined]
        self.fields["person"].queryset = people.order_by(  # type: ignore[attr-defined]
            "last_name", "first_name", "username"
        )

    def line(self) -> Line:
        """Return what the line says of the person."""
        return Line(**{name: value for name, value in self.cleaned_data.items() if name != "person"})

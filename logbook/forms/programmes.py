"""The sheets on which an inspection programme is selected, and a selection corrected."""

from typing import Any

from django import forms

from engines.models import Engine, ProgrammeSelection
from engines.models.programmes import FIELDS
from engines.programmes import AIRCRAFT, OPTIONS, Selection
from logbook.forms.corrections import CorrectingSheet
from logbook.forms.fields import TEXT, DayField
from logbook.forms.signing import SigningSheet


class SelectionSheet(SigningSheet):
    """What is selected; whoever has a certificate names it."""

    aircraft = forms.CharField(
        label="Aircraft", max_length=120, widget=forms.TextInput(TEXT), help_text="Its registration."
    )
    kind = forms.ChoiceField(label="Kind of aircraft", choices=list(AIRCRAFT.items()), widget=forms.RadioSelect)
    option = forms.ChoiceField(
        label="Inspected under",
        choices=[(name, option.title) for name, option in OPTIONS.items()],
        widget=forms.RadioSelect,
        help_text="What is open to an aircraft depends on its kind; what is not is refused with the reason.",
    )
    title = forms.CharField(
        label="Programme", required=False, max_length=240, widget=forms.TextInput(TEXT),
        help_text="As its document is titled. Empty for annual and 100-hour inspections.",
    )  # fmt: skip
    revision = forms.CharField(label="Revision", required=False, max_length=60, widget=forms.TextInput(TEXT))
    responsible = forms.CharField(
        label="Its inspections are scheduled by", required=False, max_length=240, widget=forms.TextInput(TEXT),
        help_text="Name and address, for a programme under 14 CFR 91.409(f).",
    )  # fmt: skip
    from_on = DayField(label="From")
    required_words = {
        **SigningSheet.required_words,
        "aircraft": "Name the aircraft, by its registration.",
        "kind": "Choose the kind of aircraft.",
        "option": "Choose by what it is inspected.",
        "from_on": "Give the day from which it is inspected so.",
    }

    def said(self) -> Selection:
        """Return what is selected."""
        return Selection(**{name: self.cleaned_data[name] for name in FIELDS})


class ProgrammeForm(SelectionSheet):
    """A new selection for the aircraft that an engine is fitted to."""

    def __init__(self, *args: Any, engine: Engine, **kwargs: Any) -> None:
        super().__init__(*args, initial={"aircraft": engine.fitted_to} | kwargs.pop("initial", {}), **kwargs)
        self.fields["certificate"].required = self.person.certificates.exists()


class ProgrammeCorrectForm(SelectionSheet, CorrectingSheet):
    """A selection as it was signed, to be put right."""

    required_words = {**SelectionSheet.required_words, **CorrectingSheet.required_words}

    def __init__(self, *args: Any, row: ProgrammeSelection, **kwargs: Any) -> None:
        super().__init__(*args, initial=vars(row.said) | kwargs.pop("initial", {}), **kwargs)
        self.fields["certificate"].required = self.person.certificates.exists()

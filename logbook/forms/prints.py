"""The sheet on which a print set is chosen."""

from typing import Any

from django import forms

from engines.models import Component, Engine
from engines.part_queries import component_list
from engines.queries import engine_list
from logbook.forms.fields import TEXT, DayField, Sheet
from logbook.models import Entry, Person
from logbook.print_sets import Choice

PAPERS = [("a4", "A4"), ("letter", "Letter")]


class PrintSetForm(Sheet):
    """Which entries, and on which paper; an empty box narrows nothing."""

    serial = forms.CharField(label="Engine serial", required=False, max_length=60, widget=forms.TextInput(TEXT))
    part = forms.CharField(
        label="Part serial", required=False, max_length=60, widget=forms.TextInput(TEXT), help_text="Its own entries."
    )
    first = DayField(label="Completed from", required=False)
    last = DayField(label="Completed to, this day included", required=False)
    kinds = forms.MultipleChoiceField(
        label="Kinds of entry",
        choices=Entry.Kind.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Tick none for every kind.",
    )
    paper = forms.ChoiceField(label="Paper", choices=PAPERS, initial="a4", widget=forms.RadioSelect)

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_serial(self) -> Engine | None:
        """Return the engine of that serial."""
        serial = self.cleaned_data["serial"]
        if not serial:
            return None
        engine = engine_list(self.person).filter(serial__iexact=serial).order_by("-pk").first()
        if engine is None:
            raise forms.ValidationError(f"There is no engine with the serial “{serial}”.")
        return engine

    def clean_part(self) -> list[Component]:
        """Return the parts of that serial; parts of several numbers may share one."""
        serial = self.cleaned_data["part"]
        found = list(component_list(self.person).filter(serial__iexact=serial)) if serial else []
        if serial and not found:
            raise forms.ValidationError(f"There is no part with the serial “{serial}”.")
        return found

    def clean(self) -> dict[str, Any]:
        """Refuse a span that ends before it begins."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("first") and data.get("last") and data["first"] > data["last"]:
            self.add_error("last", "The last day lies before the first.")
        return data

    @property
    def choice(self) -> Choice:
        """Return what is chosen; the form is valid."""
        data = self.cleaned_data
        return Choice(
            engine=data["serial"].pk if data["serial"] else None,
            components=tuple(part.pk for part in data["part"]),
            first=data["first"],
            last=data["last"],
            kinds=tuple(data["kinds"]),
        )

    @property
    def title(self) -> str:
        """Return the choice in a few words; the form is valid."""
        data = self.cleaned_data
        of = [f"engine {data['serial'].serial}"] if data["serial"] else []
        of += [f"part {part}" for part in data["part"]]
        days = [f"from {data['first']}"] if data["first"] else []
        days += [f"to {data['last']}"] if data["last"] else []
        return ", ".join(["Entries of " + (" and ".join(of) or "every engine"), *days])[:200]

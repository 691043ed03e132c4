"""The sheet of checks before a start: a box or a choice for each, and why, where an answer is out of place."""

from typing import Any

from django import forms
from django.forms import BoundField

from engines.scales import TEMPERATURES
from engines.start_checks import NOT_SO, SO, Answer, Check, CheckList, out_of_place
from engines.start_scales import checks_on
from logbook.forms.fields import TEXT, DecimalTextField, Sheet
from logbook.forms.questions import HOW, LONGEST_REASON, Asked

SO_CHOICES = ((SO, "As it should be"), (NOT_SO, "Not as it should be"), ("", "Not checked"))


class CheckSheet(Sheet):
    """Answers to a type's checks; what was asked in a unit is answered in it, also where another was chosen since."""

    def __init__(self, *args: Any, listed: CheckList, unit: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        asked = str(self.data.get("temperatures", "")) if self.is_bound else unit
        self.unit = asked if asked in TEMPERATURES else ""
        self.listed = checks_on(listed, self.unit)
        self.fields["temperatures"] = forms.CharField(required=False, widget=forms.HiddenInput, initial=self.unit)
        for place, check in enumerate(self.listed.checks):
            self.fields[f"answer{place}"] = _field(check)
            if self.data.get(f"reason{place}"):
                self._reason_box(place)
        self.fields["remarks"] = forms.CharField(
            label="Remarks", required=False, max_length=240, widget=forms.TextInput(TEXT)
        )

    def _reason_box(self, place: int) -> None:
        name = self.listed.checks[place].name
        self.fields[f"reason{place}"] = forms.CharField(
            label=f"Why it is so: {name}",
            required=False,
            max_length=LONGEST_REASON,
            widget=forms.TextInput(TEXT),
            help_text="Kept with the checks, and shown to the director.",
        )
        box = f"reason{place}"
        self.fields[f"answer{place}"].asked = Asked(self[box], box, name)  # type: ignore[attr-defined]

    @property
    def boxes(self) -> list[tuple[BoundField, BoundField | None]]:
        """Return each check's field with the box for its reason, None where nothing was asked."""
        names = range(len(self.listed.checks))
        return [
            (self[f"answer{place}"], self[f"reason{place}"] if f"reason{place}" in self.fields else None)
            for place in names
        ]

    def clean(self) -> dict[str, Any]:
        """Ask about every answer that is out of place and has no reason."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        readable = [place for place in range(len(self.listed.checks)) if f"answer{place}" in data]
        if len(readable) == len(self.listed.checks):
            for place, words in out_of_place(self.listed.checks, self.answers()).items():
                if not str(self.data.get(f"reason{place}", "")).strip():
                    self.add_error(f"answer{place}", f"{words} {HOW}")
                    self._reason_box(place)
        return data

    def answers(self) -> list[Answer]:
        """Return the answers as typed, in the order of the checks."""
        found: list[Answer] = []
        for place, check in enumerate(self.listed.checks):
            typed = self.cleaned_data[f"answer{place}"]
            found.append(None if typed in (None, "") else float(typed) if check.unit else typed)
        return found

    def reasons(self) -> dict[int, str]:
        """Return the reasons as typed, by the place of their check."""
        places = range(len(self.listed.checks))
        return {place: str(self.cleaned_data.get(f"reason{place}", "")) for place in places}


def _field(check: Check) -> forms.Field:
    if check.unit:
        return DecimalTextField(unit=check.unit, label=check.name, may_be_negative=True, help_text=_asked(check))
    return forms.ChoiceField(label=check.name, required=False, choices=SO_CHOICES, widget=forms.RadioSelect)


def _asked(check: Check) -> str:
    return f"The type asks for {check.asked}." if check.asked else ""

"""The sheets of what comes due: what is looked at, the use that is stated, what was done, and a task that is added."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils import timezone

from engines.actions.tasks import Accomplishment
from engines.counters import COLUMNS, SECONDS, counter_of
from engines.forecast import Use, stated_use
from engines.models import Component, TaskRecord
from engines.numbers_typed import number_typed
from engines.standing import Standing
from engines.tasks import AMOUNTS, BEGUN, DIRECTIVE, KINDS, PRESERVATION
from engines.times import SECONDS_PER_HOUR
from logbook.forms.fields import TEXT, CountField, DayField, DecimalTextField, NumberBox, Sheet, as_typed
from logbook.forms.signing import SigningSheet
from logbook.models import DigestChoice

RANGE: Final = re.compile(r"\s*(?:to|-|–)\s*")
WITHIN: Final = [(30, "the next 30 days"), (90, "the next 90 days"), (365, "the next year")]
SHOWN: Final = [("mandatory", "Mandatory ones"), ("overdue", "Overdue ones")]
YES_NO: Final = [("yes", "Yes"), ("no", "No")]


class UseField(forms.CharField):
    """A use in a month of thirty days: one figure, or two with "to" between them."""

    about = ""

    def __init__(self, counter: str) -> None:
        self.counter = counter_of(counter)
        unit = "h" if self.counter.unit == SECONDS else ""
        super().__init__(label=self.counter.label, required=False, widget=NumberBox(unit), max_length=40)

    def clean(self, value: Any) -> Use | None:
        """Return the use in the counter's own unit, or None for an empty box."""
        typed = super().clean(value)
        if not typed:
            return None
        figures = [float(as_typed(number_typed, part)) for part in RANGE.split(typed.strip())]
        if len(figures) > 2:
            raise ValidationError(f"“{typed}” is neither a figure nor a range; write for example 15 to 25.")
        scale = SECONDS_PER_HOUR if self.counter.unit == SECONDS else 1
        try:
            return stated_use(figures[0] * scale, figures[-1] * scale)
        except ValueError:
            raise ValidationError("Write the smaller figure first, and nothing below 0.") from None


class UseForm(Sheet):
    """What an engine will be used in thirty days, stated by whoever looks; an empty box is taken from the record."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields |= {f"use_{name}": UseField(name) for name in COLUMNS}

    def stated(self) -> dict[str, Use]:
        """Return the uses stated, by the counter's name."""
        if not self.is_valid():
            return {}
        return {name: use for name in COLUMNS if (use := self.cleaned_data[f"use_{name}"]) is not None}


class DueForm(UseForm):
    """What of all that comes due is shown."""

    serial = forms.CharField(label="Serial number holds", required=False, widget=forms.TextInput(TEXT))
    days = forms.TypedChoiceField(
        label="Due within", choices=WITHIN, required=False, coerce=int, initial=90, empty_value=None
    )
    show = forms.ChoiceField(label="Show", choices=[("", "All of them"), *SHOWN], required=False)
    engine = forms.CharField(required=False, widget=forms.HiddenInput)


class TaskDoneForm(SigningSheet):
    """What is recorded of a task, and signed; whoever has a certificate names it."""

    outcome = forms.ChoiceField(
        label="How it ended",
        choices=[c for c in TaskRecord.Outcome.choices if c[0] != TaskRecord.Outcome.BEGUN],
        widget=forms.RadioSelect,
    )
    on = DayField(label="On which day")
    method = forms.CharField(
        label="How it was done",
        max_length=240,
        widget=forms.TextInput(TEXT),
        help_text="For a directive or a bulletin: the method of compliance. Where it does not apply: why.",
    )
    reference = forms.CharField(
        label="Worked to", required=False, max_length=240, widget=forms.TextInput(TEXT),
        help_text="Document, revision and section; the entry that records the work, where there is one.",
    )  # fmt: skip
    remarks = forms.CharField(label="Remarks", required=False, widget=forms.Textarea({**TEXT, "rows": 2}))
    required_words = SigningSheet.required_words | {
        "outcome": "Choose how it ended.",
        "on": "Give the day on which it was completed.",
        "method": "Say how it was done, or why it does not apply.",
    }

    def __init__(self, *args: Any, standing: Standing, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["certificate"].required = self.person.certificates.exists()
        self.counters = [name for name, _ in standing.point.at] if standing.point else []
        for name in self.counters:
            self.fields[f"used_{name}"] = _counter_field(name)

    def said(self) -> Accomplishment:
        """Return what is recorded."""
        data = self.cleaned_data
        typed = {name: data[f"used_{name}"] for name in self.counters if data[f"used_{name}"] is not None}
        used = {name: _kept(name, amount) for name, amount in typed.items()}
        return Accomplishment(
            data["outcome"], data["on"], data["method"], data["reference"], data["remarks"], used or None
        )

    def used_fields(self) -> list[forms.BoundField]:
        """Return the boxes of the counters."""
        return [self[f"used_{name}"] for name in self.counters]


def _counter_field(name: str) -> forms.Field:
    counter = counter_of(name)
    words = "Only where the record here does not tell it; else it is taken from the runs."
    options: dict[str, Any] = {"label": f"{counter.label} since new, at that time", "help_text": words}
    return DecimalTextField(unit="h", **options) if counter.unit == SECONDS else CountField(**options)


def _kept(name: str, amount: Decimal | int) -> int:
    return round(amount * SECONDS_PER_HOUR) if counter_of(name).unit == SECONDS else int(amount)


class ExtendForm(SigningSheet):
    """Why a task is extended by what its source grants, signed; whoever has a certificate names it."""

    reason = forms.CharField(label="Why it is extended", max_length=240, widget=forms.TextInput(TEXT))
    required_words = SigningSheet.required_words | {"reason": "Say why it is extended."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["certificate"].required = self.person.certificates.exists()

    def own_fields(self) -> list[forms.BoundField]:
        """Return the box of the reason, the certificate last."""
        return [self["reason"], self["certificate"]]


class DigestForm(Sheet):
    """When mails come, and what stands in them."""

    when = forms.ChoiceField(label="When", choices=DigestChoice.When.choices, widget=forms.RadioSelect)
    email = forms.EmailField(
        label="To which address", required=False, widget=forms.EmailInput({"autocomplete": "email"})
    )
    of_due = forms.BooleanField(label="What is overdue or due within 30 days", required=False)
    of_inspections = forms.BooleanField(label="Open inspections", required=False)
    of_concerns = forms.BooleanField(label="What has to be settled", required=False)
    required_words = {"when": "Choose when."}

    def clean(self) -> dict[str, Any]:
        """Refuse mails to nowhere, and mails of nothing."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("when") in (None, DigestChoice.When.NEVER):
            return data
        if not data.get("email"):
            self.add_error("email", "Give the address that mails are to go to.")
        if not any(data.get(name) for name in ("of_due", "of_inspections", "of_concerns")):
            self.add_error("of_due", "Choose at least one thing that the mail is to say.")
        return data


INTERVALS: Final = ("initial", "repeat")
LENGTHS: Final = {"days": "Days", "months": "Months"}


class TaskAddForm(Sheet):
    """A task beside those of the type: a directive, a bulletin, or anything agreed."""

    kind = forms.ChoiceField(label="What it is", choices=[(k, w) for k, w in KINDS.items() if k != PRESERVATION])
    part = forms.ModelChoiceField(
        label="Of which part", queryset=Component.objects.none(), required=False, empty_label="Of the engine itself"
    )
    name = forms.CharField(label="What is to be done", max_length=120, widget=forms.TextInput(TEXT))
    number = forms.CharField(label="Number", required=False, max_length=60, widget=forms.TextInput(TEXT))
    revision = forms.CharField(label="Revision", required=False, max_length=30, widget=forms.TextInput(TEXT))
    revision_date = DayField(label="Date of the revision", required=False)
    mandatory = forms.ChoiceField(
        label="Mandatory", choices=YES_NO, widget=forms.RadioSelect,
        help_text="An engine with a mandatory task that is overdue is unserviceable. A directive always is mandatory.",
    )  # fmt: skip
    begins_on = DayField(label="Applies from")
    counts_from = forms.ChoiceField(
        label="The first time counts",
        choices=[(BEGUN, "from the day it applies"), ("new", "since new")],
        widget=forms.RadioSelect,
    )
    source = forms.CharField(
        label="Source", max_length=240, widget=forms.TextInput(TEXT), help_text="The document that calls for it."
    )
    reference = forms.CharField(
        label="Done to", required=False, max_length=240, widget=forms.TextInput(TEXT),
        help_text="Document and section by which it is done.",
    )  # fmt: skip
    required_words = {
        "name": "Say what is to be done.",
        "mandatory": "Choose whether it is mandatory.",
        "begins_on": "Give the day from which it applies.",
        "counts_from": "Choose from when the first time counts.",
        "source": "Name the document that calls for it.",
    }

    def __init__(self, *args: Any, parts: QuerySet[Component], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["part"].queryset = parts  # type: ignore[attr-defined]
        for interval in INTERVALS:
            self.fields |= {f"{interval}_{name}": field for name, field in _interval_fields().items()}

    def clean_begins_on(self) -> Any:
        """Refuse a day to come."""
        if self.cleaned_data["begins_on"] > timezone.localdate():
            raise ValidationError("That day is still to come. Enter it when it applies.")
        return self.cleaned_data["begins_on"]

    def plain_fields(self) -> list[forms.BoundField]:
        """Return the boxes that belong to no interval."""
        return [field for field in self if not field.name.startswith(tuple(f"{i}_" for i in INTERVALS))]

    def interval_fields(self) -> dict[str, list[forms.BoundField]]:
        """Return the boxes of each interval."""
        return {interval: [self[f"{interval}_{name}"] for name in _interval_fields()] for interval in INTERVALS}

    def document(self) -> dict[str, Any]:
        """Return the task as a document."""
        data = self.cleaned_data
        names = ("kind", "name", "number", "revision", "source", "reference", "counts_from")
        document: dict[str, Any] = {name: data[name] for name in names if data[name]}
        document["mandatory"] = data["mandatory"] == "yes" or data["kind"] == DIRECTIVE
        if data["revision_date"]:
            document["revision_date"] = data["revision_date"].isoformat()
        for interval in INTERVALS:
            if given := self._interval(data, interval):
                document[interval] = given
        return document

    def _interval(self, data: Mapping[str, Any], interval: str) -> dict[str, Any]:
        given = {name: data[f"{interval}_{name}"] for name in _interval_fields()}
        return {k: float(v) if isinstance(v, Decimal) else v for k, v in given.items() if v is not None}


def _interval_fields() -> dict[str, forms.Field]:
    fields: dict[str, forms.Field] = {}
    for name, (counter, scale) in AMOUNTS.items():
        label = counter_of(counter).label
        fields[name] = DecimalTextField(label=label, unit="h") if scale > 1 else CountField(label=label)
    return fields | {name: CountField(label=label) for name, label in LENGTHS.items()}

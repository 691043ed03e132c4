"""The sheets of power: a power check, and the fuel of a run."""

from typing import Any, Final

from django import forms

from engines.actions import CheckFacts
from engines.charts import EngineTypeData
from engines.power_assurance import PowerReadings
from logbook.forms.fields import TEXT, DecimalTextField, MomentField, Sheet

READ: Final = ("air_c", "altitude_ft", "torque", "propeller", "temperature", "speed", "fuel_flow")


class PowerCheckForm(Sheet):
    """What was read at one steady setting."""

    at = MomentField(label="Read at")
    begins_baseline = forms.BooleanField(
        label="It is the first after a change, and begins a baseline",
        required=False,
        help_text="An overhaul of the whole engine begins one by itself.",
    )
    why = forms.CharField(label="After which change", required=False, max_length=240, widget=forms.TextInput(TEXT))
    remarks = forms.CharField(label="Remarks", required=False, max_length=240, widget=forms.TextInput(TEXT))
    required_words = {"at": "Give the moment at which it was read."}

    def __init__(self, *args: Any, data_of: EngineTypeData, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rules = data_of.power
        own = {name: getattr(rules, name) for name in READ[2:]}
        air = {"air_c": ("Outside air temperature", "degC"), "altitude_ft": ("Pressure altitude", "ft")}
        fields: dict[str, forms.Field] = {
            name: DecimalTextField(label=label, unit=unit, may_be_negative=True) for name, (label, unit) in air.items()
        }
        for name, channel in own.items():
            of = data_of.channel(channel)
            fields[name] = DecimalTextField(label=of.label, unit=of.unit, may_be_negative=name == "temperature")
        rest = self.fields
        self.fields = {"at": rest["at"], **fields, **{name: rest[name] for name in rest if name != "at"}}

    def clean(self) -> dict[str, Any]:
        """Ask for every reading: a check of which one is missing is none."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name in READ:
            if data.get(name) is None and name not in self.errors:
                self.add_error(name, "Give the reading; without it the check can't be worked out.")
        return data

    def facts(self) -> CheckFacts:
        """Return the check as it is stated."""
        data = self.cleaned_data
        return CheckFacts(
            at=data["at"],
            readings=PowerReadings(**{name: float(data[name]) for name in READ}),
            begins_baseline=data["begins_baseline"],
            why=data["why"],
            remarks=data["remarks"],
        )


class FuelForm(Sheet):
    """What the totaliser counted in a run, and what was uplifted for it."""

    totaliser = DecimalTextField(label="Counted by the totaliser")
    uplift = DecimalTextField(label="Uplifted for what this run used")
    remarks = forms.CharField(label="Remarks on the fuel", required=False, max_length=240, widget=forms.TextInput(TEXT))

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("totaliser", "uplift"):
            self.fields[name].widget.unit = unit

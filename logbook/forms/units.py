"""The units that a person wants to see."""

from collections.abc import Mapping
from typing import Any

from django import forms

from engines.scales import TEMPERATURES
from engines.units import symbol_of
from logbook.forms.fields import Sheet
from logbook.shown_units import OWN

EVERY = "every_temperature"


class UnitsForm(Sheet):
    """One choice for every temperature, and one for each channel that can be shown otherwise."""

    def __init__(
        self, *args: Any, offered: Mapping[str, tuple[str, list[str]]], chosen: Mapping[str, str], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields[EVERY] = _choice("Every temperature", TEMPERATURES, "As recorded", chosen.get("", ""))
        for name, (label, units) in offered.items():
            field = _choice(label, units, "No choice of its own", chosen.get(name, ""))
            field.choices = [*field.choices[:1], (OWN, "As recorded"), *field.choices[1:]]  # type: ignore[misc, index]
            self.fields[f"channel_{name}"] = field

    def chosen(self) -> dict[str, str]:
        """Return what was chosen, by channel; "" is every temperature."""
        data = self.cleaned_data
        channels = {name.removeprefix("channel_"): unit for name, unit in data.items() if name != EVERY}
        return {"": data[EVERY], **channels}


def _choice(label: str, units: Any, none: str, initial: str) -> forms.ChoiceField:
    listed = [("", none), *((unit, symbol_of(unit)) for unit in units)]
    return forms.ChoiceField(label=label, choices=listed, required=False, initial=initial)

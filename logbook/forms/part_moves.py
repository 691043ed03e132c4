"""The sheet by which a part or a module is moved from one engine or module to another in one act."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from engines.actions.parts import Fitting, Removal
from engines.models import Component, Engine, PartMovement
from engines.part_queries import has_life_limit
from logbook.forms.fields import MomentField
from logbook.forms.parts import PASSWORD_WORDS, PartFitForm


class PartMoveForm(PartFitForm):
    """When a part was removed, how it is controlled, and where it was fitted then."""

    at = MomentField(label="Removed at")
    fitted_at = MomentField(
        label="Fitted at", required=False, help_text="Leave it empty where it was fitted at the same moment."
    )
    control = forms.ChoiceField(label="Control method", widget=forms.RadioSelect, required=False)
    field_order = ("at", "control", "host", "position", "fitted_at", "release_certificate", "remarks")
    required_words = {
        **PASSWORD_WORDS,
        "at": "Give the day and the time at which it was removed.",
        "host": "Choose the engine or the module that it was fitted to.",
        "control": "Choose the method; a part that goes elsewhere is not removed for a time only.",
    }

    def __init__(self, *args: Any, component: Component, **kwargs: Any) -> None:
        super().__init__(*args, component=component, **kwargs)
        self.fields["host"].label = "Moved to"
        is_limited = has_life_limit(component)
        none = [] if is_limited else [("", "None needed: it has no life limit")]
        control = self.fields["control"]
        control.choices = [*none, *((key, f"({key}) {words}") for key, words in PartMovement.Control.choices)]  # type: ignore[attr-defined]
        control.required = is_limited
        control.help_text = "Of 14 CFR 43.10(c)." if is_limited else ""

    def clean_fitted_at(self) -> Any:
        """Refuse a moment that is still to come; an empty box is the moment of the removal."""
        at = self.cleaned_data["fitted_at"] or self.cleaned_data.get("at")
        if at is not None and at > timezone.now():
            raise forms.ValidationError("That is still to come. Give the day and the time at which it was fitted.")
        return at

    def removal(self) -> Removal:
        """Return how it came off."""
        data = self.cleaned_data
        host = self.hosts[data["host"]]
        place = f"moved to engine {host.serial}" if isinstance(host, Engine) else f"moved to {host}"
        return Removal(data["at"], data["control"], place=place, remarks=data["remarks"])

    def fitting(self) -> Fitting:
        """Return where it went."""
        data = self.cleaned_data
        host = self.hosts[data["host"]]
        engine, parent = (host, None) if isinstance(host, Engine) else (None, host)
        told = {name: data[name] for name in ("position", "remarks", "release_certificate")}
        return Fitting(data["fitted_at"], engine, parent, **told)

"""The sheets of parts: a new part, fitting, removing and sending it, its limits, and that an interval was met."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any, Final

from django import forms
from django.utils import timezone

from engines.actions.limits import OVERHAUL_STEPS, LimitFacts, units_of
from engines.actions.owners import Return
from engines.actions.parts import Fitting, Removal
from engines.counters import CALENDAR, DAYS, EQUIVALENT, MONTHS, SECONDS, Counter, Position
from engines.models import Component, Engine, PartLimit, PartMovement
from engines.part_queries import has_life_limit, lines_current
from engines.queries import revision_in_force
from engines.times import SECONDS_PER_HOUR, Times, hours_text
from logbook.forms.fields import TEXT, CountField, DayField, DecimalTextField, MomentField
from logbook.forms.signing import SigningSheet

TEMPORARY: Final = "temporary"
TEMPORARY_WORDS: Final = (
    "None: removed for a time only. It goes back to the same engine, which gains no time meanwhile, and its life does "
    "not change"
)
WORDS = {**TEXT, "rows": 2}
PASSWORD_WORDS: Final = {"password": SigningSheet.required_words["password"]}


def text(label: str, most: int = 60, **options: Any) -> forms.CharField:
    """Return a box for a short text."""
    return forms.CharField(label=label, max_length=most, widget=forms.TextInput(TEXT), **options)


def seconds(hours: Decimal | None) -> int:
    """Return whole seconds of hours typed; 0 for an empty box."""
    return 0 if hours is None else round(hours * SECONDS_PER_HOUR)


class PartSheet(SigningSheet):
    """An act about a part, signed; a certificate is named where the signer has one."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["certificate"].required = False

    def clean_at(self) -> Any:
        """Refuse a moment that is still to come."""
        at = self.cleaned_data["at"]
        if at > timezone.now():
            raise forms.ValidationError("That is still to come. Give the day and the time at which it was done.")
        return at


class PartAddForm(PartSheet):
    """A part by part number and serial, with what it had used when its record here begins."""

    part_number = text("Part number")
    serial = text("Serial number")
    description = text("What it is", 120, required=False)
    made_on = DayField(label="Made on", required=False, help_text="A limit in calendar time counts from this day.")
    run_time = DecimalTextField(label="Run time since new", unit="h")
    time_in_service = DecimalTextField(label="Time in service since new", unit="h")
    starts = CountField(label="Starts since new")
    cycles = CountField(label="Full cycles since new")
    partial_cycles = CountField(label="Partial cycles since new")
    basis = forms.CharField(
        label="Where these figures come from", widget=forms.Textarea(WORDS), help_text="In a new part: that it is new."
    )
    document = text("Document", 240, required=False, help_text="Log card, release certificate or other record.")
    reconstructed = forms.BooleanField(
        label="Reconstructed, because records were lost", required=False, widget=forms.CheckboxInput
    )
    required_words = {
        **PASSWORD_WORDS,
        "part_number": "Give the part number.",
        "serial": "Give the serial number.",
        "basis": "Say where the figures come from.",
    }

    def said(self) -> dict[str, Any]:
        """Return the part as the action takes it."""
        data = self.cleaned_data
        return {
            "part_number": data["part_number"],
            "serial": data["serial"],
            "description": data["description"],
            "made_on": data["made_on"],
            "brought_run_time_s": seconds(data["run_time"]),
            "brought_time_in_service_s": seconds(data["time_in_service"]),
            **{f"brought_{name}": data[name] or 0 for name in ("starts", "cycles", "partial_cycles")},
            "opening_basis": data["basis"],
            "opening_document": data["document"],
            "opening_is_reconstructed": data["reconstructed"],
        }


class PartFitForm(PartSheet):
    """Where and when a part is fitted."""

    host = forms.ChoiceField(label="Fitted to")
    position = text("Place", required=False)
    at = MomentField(label="Fitted at")
    control = forms.ChoiceField(
        label="Control method while it was off",
        choices=[("", "As recorded when it was removed"), *PartMovement.Control.choices],
        required=False,
        help_text="Only where it was removed for a time and did not go back as it came off.",
    )
    release_certificate = text(
        "Authorised release certificate",
        240,
        required=False,
        help_text="Form, number and date, and who issued it. Known unserviceable parts have none.",
    )
    remarks = text("Remarks", 240, required=False)
    required_words = {
        **PASSWORD_WORDS,
        "host": "Choose the engine or the module.",
        "at": "Give the day and the time at which it was fitted.",
    }

    def __init__(self, *args: Any, component: Component, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        engines = list(
            Engine.objects.filter(operator=component.operator_id, left_at=None).select_related("engine_type")
        )
        # Read once: the places that the type of the first engine names.
        places = _places(engines[0]) if engines else ()
        modules = _modules(component, places)
        self.hosts: dict[str, Engine | Component] = {f"engine:{e.pk}": e for e in engines}
        self.hosts |= {f"part:{m.pk}": m for m in modules}
        choices = [(key, _host_words(host)) for key, host in self.hosts.items()]
        self.fields["host"].choices = [("", "Choose an engine or a module"), *choices]  # type: ignore[attr-defined]
        self.fields["position"].help_text = _places_words(places, component)

    def fitting(self) -> Fitting:
        """Return what was said."""
        data = self.cleaned_data
        host = self.hosts[data["host"]]
        on = {"engine": host} if isinstance(host, Engine) else {"parent": host}
        names = ("at", "position", "control", "remarks", "release_certificate")
        return Fitting(**on, **{name: data[name] for name in names})


def _host_words(host: Engine | Component) -> str:
    return f"Engine {host.serial}" if isinstance(host, Engine) else f"Module {host}, {host.description}".rstrip(", ")


def _modules(component: Component, places: Iterable[Position]) -> list[Component]:
    """Return the parts that others may sit in: those that do have, and those in a place that has places within."""
    within = {place.within for place in places} - {""}
    placed = lines_current().filter(component__operator=component.operator_id, position__in=within)
    held = Component.objects.filter(operator=component.operator_id, held__isnull=False)
    found = (held | Component.objects.filter(pk__in=placed.values("component"))).distinct()
    return list(found.exclude(pk=component.pk))


def _places(engine: Engine) -> tuple[Position, ...]:
    return revision_in_force(engine.engine_type, timezone.localdate()).data.positions


def _places_words(places: Iterable[Position], component: Component) -> str:
    """Return the places that a type has for a part number, in words; nothing where no type names places."""
    fit = [p for p in places if component.part_number in (p.part_numbers or (component.part_number,))]
    said = [f"{p.name}{f' (within {p.within})' if p.within else ''}" for p in fit]
    return f"As the type names it: {', '.join(said)}." if said else ""


class PartRemoveForm(PartSheet):
    """When a part is removed, and how it is kept from use beyond its limit."""

    at = MomentField(label="Removed at")
    control = forms.ChoiceField(label="Control method", widget=forms.RadioSelect, required=False)
    place = text("Where it lies now", 120, required=False)
    remarks = text("Remarks", 240, required=False)
    required_words = {
        **PASSWORD_WORDS,
        "at": "Give the day and the time at which it was removed.",
        "control": "Choose the method, or that it is removed for a time only.",
    }

    def __init__(self, *args: Any, component: Component, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        is_limited = has_life_limit(component)
        none = [] if is_limited else [("", "None needed: it has no life limit")]
        methods = [(key, f"({key}) {words}") for key, words in PartMovement.Control.choices]
        control = self.fields["control"]
        control.choices = [*none, (TEMPORARY, TEMPORARY_WORDS), *methods]  # type: ignore[attr-defined]
        control.required = is_limited
        control.help_text = "Of 14 CFR 43.10(c)." if is_limited else ""

    def removal(self) -> Removal:
        """Return what was said."""
        data = self.cleaned_data
        temporary = data["control"] == TEMPORARY
        control = "" if temporary else data["control"]
        return Removal(data["at"], control, temporary, data["place"], data["remarks"])


class PartSendForm(PartSheet):
    """To whom a part went, and what goes with it."""

    to = text("Who gets it", 120)
    at = MomentField(label="Sent at")
    control = forms.ChoiceField(
        label="What goes with it",
        choices=[("", "As recorded when it was removed"), *PartMovement.Control.choices],
        required=False,
    )
    required_words = {
        **PASSWORD_WORDS,
        "to": "Name who gets the part.",
        "at": "Give the day and the time.",
    }


class PartReturnForm(PartSheet):
    """From whom a part came back, with what it had used in all by its record."""

    place = text("From whom it came back", 120)
    at = MomentField(label="Came back at")
    run_time = DecimalTextField(label="Run time since new", unit="h")
    time_in_service = DecimalTextField(label="Time in service since new", unit="h")
    starts = CountField(label="Starts since new")
    cycles = CountField(label="Full cycles since new")
    partial_cycles = CountField(label="Partial cycles since new")
    remarks = text("By which record", 240, help_text="Log card, tag or history that came with it, and its date.")
    control = forms.ChoiceField(
        label="What came with it",
        choices=[("", "Nothing: it has no life limit"), *PartMovement.Control.choices],
        required=False,
    )
    required_words = {
        **PASSWORD_WORDS,
        "place": "Name from whom it came back.",
        "at": "Give the day and the time.",
        "remarks": "Name the record that says what it had used.",
    }

    def __init__(self, *args: Any, gone: Times, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.gone = gone
        went = {"run_time": gone.run_time_s, "time_in_service": gone.time_in_service_s}
        for name, amount in went.items():
            self.fields[name].help_text = f"It went with {hours_text(amount)} h."
        for name in ("starts", "cycles", "partial_cycles"):
            self.fields[name].help_text = f"It went with {getattr(gone, name)}."

    def clean(self) -> dict[str, Any]:
        """Refuse an empty box for what it went with more than nothing of."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        stated = {"run_time": self.gone.run_time_s, "time_in_service": self.gone.time_in_service_s}
        stated |= {name: getattr(self.gone, name) for name in ("starts", "cycles", "partial_cycles")}
        for name, amount in stated.items():
            if amount and name in data and data[name] is None:
                self.add_error(name, "State what it had used in all by then, since it went with more than 0.")
        return data

    def told(self) -> Return:
        """Return what was said; what the type counts besides stands as it went."""
        data = self.cleaned_data
        counts = {name: data[name] or 0 for name in ("starts", "cycles", "partial_cycles")}
        used = Times(seconds(data["run_time"]), seconds(data["time_in_service"]), **counts, other=self.gone.other)
        return Return(data["at"], used, data["place"], data["remarks"], data["control"])


class PartStrikeForm(PartSheet):
    """Why the newest line of a part's ledger is wrong."""

    reason = text("Why it is wrong", 240)
    required_words = {**PASSWORD_WORDS, "reason": "Say why the line is wrong."}


class LimitForm(PartSheet):
    """How much a newer revision of a source allows."""

    amount = DecimalTextField(label="Limit")
    calendar_unit = forms.ChoiceField(label="In", choices=[(MONTHS, "months"), (DAYS, "days")], required=False)
    weight = DecimalTextField(
        label="What a partial cycle counts for", help_text="Of equivalent cycles only, such as 0.5."
    )
    tolerance = DecimalTextField(
        label="Tolerance that the source grants", help_text="Leave it empty where there is none."
    )
    source = text("Source", 240, help_text="The document that sets the limit.")
    source_revision = text("Revision of the source")
    remarks = text("Remarks", 240, required=False)
    required_words = {
        **PASSWORD_WORDS,
        "source": "Name the document.",
        "source_revision": "Name its revision.",
    }

    def __init__(self, *args: Any, parameter: str = "", further: tuple[Counter, ...] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.of_parameter, self.further = parameter, further
        self.fields["amount"].error_messages["required"] = "Give the limit."
        if parameter and parameter != CALENDAR:
            del self.fields["calendar_unit"]
        if parameter and parameter != EQUIVALENT:
            del self.fields["weight"]
        if parameter and units_of(parameter, further) == (SECONDS,):
            for name in ("amount", "tolerance"):
                self.fields[name].widget.unit = "h"

    def clean_amount(self) -> Decimal:
        """Refuse an empty box."""
        amount: Decimal | None = self.cleaned_data["amount"]
        if amount is None:
            raise forms.ValidationError("Give the limit.")
        return amount

    def facts(self) -> LimitFacts:
        """Return what was said, in the limit's own unit."""
        data = self.cleaned_data
        unit = units_of(self.said_parameter(), self.further)[0]
        if unit in (DAYS, MONTHS):
            unit = data.get("calendar_unit") or MONTHS
        scale = SECONDS_PER_HOUR if unit == SECONDS else 1
        return LimitFacts(
            amount=round(data["amount"] * scale),
            unit=unit,
            source=data["source"],
            source_revision=data["source_revision"],
            weight=data.get("weight") or Decimal(0),
            tolerance=round((data["tolerance"] or 0) * scale),
            remarks=data["remarks"],
        )

    def said_parameter(self) -> str:
        """Return the parameter that the limit is of."""
        return self.of_parameter or self.cleaned_data["parameter"]


class LimitAddForm(LimitForm):
    """A limit that a part number, or one serial of it, has by its source."""

    kind = forms.ChoiceField(label="What it ends", choices=PartLimit.Kind.choices, widget=forms.RadioSelect)
    parameter = forms.ChoiceField(label="Counted in", choices=PartLimit.Parameter.choices)
    only_this = forms.BooleanField(label="Of this serial number only", required=False, widget=forms.CheckboxInput)
    field_order = ("kind", "parameter", "amount", "calendar_unit", "weight", "tolerance", "source", "source_revision")
    required_words = {**LimitForm.required_words, "kind": "Choose what it ends."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        own = [(counter.name, counter.label) for counter in self.further]
        self.fields["parameter"].choices = [*PartLimit.Parameter.choices, *own]  # type: ignore[attr-defined]
        self.fields["amount"].help_text = "In hours for times, in months or days for calendar time, else a number."


class PartDoneForm(PartSheet):
    """That an overhaul or an inspection of a part was done, to which data."""

    at = MomentField(label="Completed at")
    reference = text("Worked to", 240, help_text="Document, revision and section of the approved data.")
    steps = forms.MultipleChoiceField(
        label="What was done",
        choices=list(OVERHAUL_STEPS.items()),
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="It is an overhaul when all of it was done (14 CFR 43.2).",
    )
    tested_by = text("The test after it", 240, required=False, help_text="Which test, and to which data.")
    required_words = {
        **PASSWORD_WORDS,
        "at": "Give the day and the time.",
        "reference": "Name the data worked to.",
    }

    def __init__(self, *args: Any, is_overhaul: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not is_overhaul:
            del self.fields["steps"], self.fields["tested_by"]

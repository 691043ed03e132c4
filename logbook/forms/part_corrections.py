"""The sheets on which entries about parts are corrected: what they state, in the boxes that it was stated in."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from django.utils import timezone

from engines.actions.owners import Return
from engines.actions.part_corrections import Sending
from engines.actions.parts import Fitting, Removal
from engines.counters import DAYS, MONTHS, SECONDS
from engines.models import Component, PartDone, PartLimit, PartMovement
from engines.part_queries import lines_standing
from engines.times import SECONDS_PER_HOUR, Times
from logbook.forms.corrections import CorrectingSheet, hours_box
from logbook.forms.parts import (
    TEMPORARY,
    LimitForm,
    PartAddForm,
    PartDoneForm,
    PartFitForm,
    PartRemoveForm,
    PartReturnForm,
    PartSendForm,
    text,
)

FIXED_OF_PARTS: Final = ("part_number", "serial")


class MomentSheet(CorrectingSheet):
    """Something of a part with the moment at which it was so, to be put right."""

    row: PartMovement | PartDone

    def moment(self) -> datetime:
        """Return the moment as it is stated; one that nobody changed stays to the second."""
        typed: datetime = self.cleaned_data["at"]
        return typed if "at" in self.changed_data else self.row.at


class LineSheet(MomentSheet):
    """A line of a part's ledger as it stands, to be put right."""


class FitCorrectForm(PartFitForm, LineSheet):
    """Where and when a part was fitted, as it was signed."""

    required_words = {**PartFitForm.required_words, **CorrectingSheet.required_words}

    def __init__(self, *args: Any, row: PartMovement, **kwargs: Any) -> None:
        host = f"engine:{row.engine_id}" if row.engine_id else f"part:{row.parent_id}"
        initial = {"host": host, "at": box_moment(row)} | told(
            row, "position", "control", "remarks", "release_certificate"
        )
        super().__init__(*args, component=row.component, initial=initial | kwargs.pop("initial", {}), **kwargs)
        if row.parent is not None and host not in self.hosts:
            self.hosts[host] = row.parent
            self.fields["host"].choices = [*self.fields["host"].choices, (host, str(row.parent))]  # type: ignore[attr-defined]
        self.row = row

    def stated_line(self) -> Fitting:
        """Return the line as it is to stand."""
        return replace(self.fitting(), at=self.moment())


class RemoveCorrectForm(PartRemoveForm, LineSheet):
    """When a part was removed and how it is controlled, as it was signed."""

    required_words = {**PartRemoveForm.required_words, **CorrectingSheet.required_words}

    def __init__(self, *args: Any, row: PartMovement, **kwargs: Any) -> None:
        control = TEMPORARY if row.is_temporary and not row.control else row.control
        initial = {"at": box_moment(row), "control": control} | told(row, "place", "remarks")
        super().__init__(*args, component=row.component, initial=initial | kwargs.pop("initial", {}), **kwargs)
        self.row = row

    def stated_line(self) -> Removal:
        """Return the line as it is to stand."""
        return replace(self.removal(), at=self.moment())


class SendCorrectForm(PartSendForm, LineSheet):
    """To whom a part went, as it was signed."""

    required_words = {**PartSendForm.required_words, **CorrectingSheet.required_words}

    def __init__(self, *args: Any, row: PartMovement, **kwargs: Any) -> None:
        initial = {"to": row.place, "at": box_moment(row), "control": row.control}
        super().__init__(*args, initial=initial | kwargs.pop("initial", {}), **kwargs)
        self.row = row

    def stated_line(self) -> Sending:
        """Return the line as it is to stand."""
        data = self.cleaned_data
        return Sending(data["to"], self.moment(), data["control"])


class ReturnCorrectForm(PartReturnForm, LineSheet):
    """From whom a part came back and with what, as it was signed."""

    required_words = {**PartReturnForm.required_words, **CorrectingSheet.required_words}

    def __init__(self, *args: Any, row: PartMovement, **kwargs: Any) -> None:
        used = Times(**row.life["used"])
        gone = lines_standing().filter(component=row.component, kind=PartMovement.Kind.LEFT, at__lt=row.at)
        went = gone.order_by("at").last()
        initial = {
            "at": box_moment(row),
            "run_time": hours_box(used.run_time_s),
            "time_in_service": hours_box(used.time_in_service_s),
            **{name: str(getattr(used, name)) for name in ("starts", "cycles", "partial_cycles")},
            **told(row, "place", "remarks", "control"),
        }
        before = Times(**went.life["used"]) if went is not None else Times()
        super().__init__(*args, gone=before, initial=initial | kwargs.pop("initial", {}), **kwargs)
        self.row = row

    def stated_line(self) -> Return:
        """Return the line as it is to stand."""
        return replace(self.told(), at=self.moment())


class DoneCorrectForm(PartDoneForm, MomentSheet):
    """That an interval was met, as it was signed; which steps an overhaul had is no matter of correcting."""

    required_words = {**PartDoneForm.required_words, **CorrectingSheet.required_words}

    def __init__(self, *args: Any, row: PartDone, **kwargs: Any) -> None:
        is_overhaul = row.limit.kind == PartLimit.Kind.OVERHAUL
        initial = {"at": box_moment(row)} | told(row, "reference", "tested_by")
        super().__init__(*args, is_overhaul=is_overhaul, initial=initial | kwargs.pop("initial", {}), **kwargs)
        self.fields.pop("steps", None)
        self.row = row


class LimitCorrectForm(LimitForm, CorrectingSheet):
    """A limit as it was signed; nothing is raised here."""

    required_words = {**LimitForm.required_words, **CorrectingSheet.required_words}

    def __init__(self, *args: Any, row: PartLimit, **kwargs: Any) -> None:
        initial = {
            "amount": box_amount(row.amount, row.unit),
            "tolerance": box_amount(row.tolerance, row.unit) if row.tolerance else None,
            "calendar_unit": row.unit if row.unit in (DAYS, MONTHS) else None,
            "weight": f"{row.weight.normalize():f}" if row.weight else None,
            **told(row, "source", "source_revision", "remarks"),
        }
        super().__init__(*args, parameter=row.parameter, initial=initial | kwargs.pop("initial", {}), **kwargs)


class PartOpeningCorrectForm(PartAddForm, CorrectingSheet):
    """What a part had used when its record here began, as it was signed; which part it is has no box."""

    required_words = {
        **{name: words for name, words in PartAddForm.required_words.items() if name not in FIXED_OF_PARTS},
        **CorrectingSheet.required_words,
    }
    part_number = serial = None  # type: ignore[assignment]
    description = text("What it is", 120, required=False)

    def __init__(self, *args: Any, row: Component, **kwargs: Any) -> None:
        initial = {
            "run_time": hours_box(row.brought_run_time_s),
            "time_in_service": hours_box(row.brought_time_in_service_s),
            **{name: str(getattr(row, f"brought_{name}")) for name in ("starts", "cycles", "partial_cycles")},
            "basis": row.opening_basis,
            "document": row.opening_document,
            "reconstructed": row.opening_is_reconstructed,
            **told(row, "description", "made_on"),
        }
        self.row = row
        super().__init__(*args, initial=initial | kwargs.pop("initial", {}), **kwargs)

    def stated_opening(self) -> dict[str, Any]:
        """Return what is stated anew; times that nobody changed stay to the second."""
        self.cleaned_data |= told(self.row, *FIXED_OF_PARTS)
        said = {name: value for name, value in self.said().items() if name not in FIXED_OF_PARTS}
        for box in ("run_time", "time_in_service"):
            if box not in self.changed_data:
                said[f"brought_{box}_s"] = getattr(self.row, f"brought_{box}_s")
        return said


def told(row: Any, *names: str) -> dict[str, Any]:
    """Return columns of a row by their names."""
    return {name: getattr(row, name) for name in names}


def box_moment(row: PartMovement | PartDone) -> Any:
    """Return the moment of a row as its box shows it."""
    return timezone.localtime(row.at).replace(second=0, microsecond=0)


def box_amount(amount: int, unit: str) -> str:
    """Return the amount of a limit as its box shows it, hours for seconds."""
    if unit != SECONDS:
        return str(amount)
    return hours_box(amount) or f"{Decimal(amount) / SECONDS_PER_HOUR}"


SHEETS: Final[dict[str, type[LineSheet]]] = {
    PartMovement.Kind.FITTED: FitCorrectForm,
    PartMovement.Kind.REMOVED: RemoveCorrectForm,
    PartMovement.Kind.LEFT: SendCorrectForm,
    PartMovement.Kind.RETURNED: ReturnCorrectForm,
}

"""An opening balance with its basis, and a change of hour meter: what each has to say before it is signed."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

RECORDS, RECONSTRUCTED, ZERO, NEW = "records", "reconstructed", "zero_time", "new"
BASES: Final = {
    RECORDS: "The engine's earlier records",
    NEW: "New from the manufacturer",
    RECONSTRUCTED: "Reconstructed, as records are lost",
    ZERO: "Zero time, rebuilt by the manufacturer or its approved agency",
}


@dataclass(frozen=True)
class Opening:
    """What an engine had used when its record here began, on which basis; counts and whole seconds by their names."""

    basis: str
    used: Mapping[str, int | None]
    on: date | None = None
    basis_text: str = ""
    document: str = ""


@dataclass(frozen=True)
class MeterChange:
    """An hour meter that was replaced or set back: its last reading, the first one after, and why. [h]"""

    old: Decimal | None
    new: Decimal | None
    on: date | None
    why: str = ""

    @property
    def offset(self) -> Decimal:
        """Return what is to be added to the new meter's readings to go on from the old one's. [h]"""
        return (self.old or Decimal(0)) - (self.new or Decimal(0))


def opening_faults(opening: Opening, today: date) -> dict[str, str]:
    """Return what stands against an opening balance.

    Parameters
    ----------
    opening : Opening
        What is said of it.
    today : date
        The day of signing.

    Returns
    -------
    dict
        Field to sentence; empty where it may be signed.

    Notes
    -----
    New and zero time begin at nothing used. A reconstructed balance says what it rests on, and names the owner's
    statement of loss.

    References
    ----------
    FAA AC 43-9C paragraph 12 (lost records); 14 CFR 91.421 (zero time).
    """
    faults = _day(opening.on, "on", today)
    if opening.basis not in BASES:
        faults["basis"] = "Say what the balance rests on."
    missing = [name for name, amount in opening.used.items() if amount is None]
    faults |= dict.fromkeys(missing, "Give the figure; what is nothing is 0.")
    if opening.basis in (NEW, ZERO) and any(opening.used.values()):
        faults["basis"] = "An engine that is new, or of zero time, has used nothing yet."
    if opening.basis == RECONSTRUCTED and not opening.basis_text.strip():
        faults["basis_text"] = "Say how the times were reconstructed, and from what."
    if opening.basis in (RECORDS, RECONSTRUCTED) and not opening.document.strip():
        faults["document"] = "Name the record, or the signed statement of loss and best estimate."
    return faults


def meter_faults(change: MeterChange, today: date) -> dict[str, str]:
    """Return what stands against a change of hour meter.

    Parameters
    ----------
    change : MeterChange
        What is said of it.
    today : date
        The day of signing.

    Returns
    -------
    dict
        Field to sentence; empty where it may be signed.
    """
    faults = _day(change.on, "on", today)
    if change.old is None:
        faults["old"] = "Give the last reading of the meter that was there."
    if change.new is None:
        faults["new"] = "Give the first reading of the meter that is there now."
    if not change.why.strip():
        faults["why"] = "Say why it was changed or set back."
    return faults


def _day(on: date | None, name: str, today: date) -> dict[str, str]:
    if on is None:
        return {name: "Give the day."}
    return {name: "That day is still to come."} if on > today else {}

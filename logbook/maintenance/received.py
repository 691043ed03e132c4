"""What an engine had used by the record with which it was received, as an opening balance that can be put right."""

from decimal import Decimal
from typing import Any, Final

from engines.times import SECONDS_PER_HOUR
from logbook.maintenance.rows import Work
from logbook.models import Entry

HOURS: Final = ("run_time_s", "time_in_service_s")
COUNTS: Final = ("starts", "cycles")


def received_work(entry: Entry) -> Work | None:
    """Return the balance of a received engine as work that was signed, not kept yet; None for any other entry."""
    received = entry.body.get("received")
    if not received or entry.engine is None:
        return None
    engine, by = entry.engine, entry.signed_by
    used = {name: hours_box(getattr(engine, f"opening_{name}")) for name in HOURS}
    used |= {name: str(getattr(engine, f"opening_{name}")) for name in COUNTS}
    document = f"Record handed over by {received['owner']}, packed {received['made_at']}"
    facts = {**used, "document": document, "on": entry.completed_on.isoformat()}
    own = {"operator": entry.operator, "engine": engine, "kind": Work.Kind.OPENING, "facts": facts}
    return Work(state=Work.State.SIGNED, opened_by=by, changed_by=by, entry=entry, **own)


def hours_box(seconds: int) -> str:
    """Return a time in as few decimals of an hour as tell it from a second more or less."""
    text = f"{Decimal(seconds) / SECONDS_PER_HOUR:.5f}"
    return text.rstrip("0").rstrip(".")


def received_kept(work: Work, body: dict[str, Any], entry: Entry) -> dict[str, Any]:
    """Return what stays of the entry by which a record was received, the engine's times moved by what is stated anew.

    Nothing of an entry that is of no received record.
    """
    was = entry.body
    if not was.get("received"):
        return {}
    used: dict[str, int] = body["opening"]["used"]
    moved = {
        name: was["times"][name] + amount - getattr(work.engine, f"opening_{name}") for name, amount in used.items()
    }
    return {"title": was["title"], "received": was["received"], "times": was["times"] | moved}

"""What each list says of a row when it is taken away as a file."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from engines.models import Engine
from engines.queries import engines_times
from engines.times import Times, hours_text
from engines.units import symbol_of
from inspections.drawing.words import figure
from inspections.models import Exceedance, Inspection
from inspections.queries import Condition, due_of
from logbook.conditions import conditions_of
from logbook.ledger.answers import entry_state
from logbook.models import Concern, Entry, Settlement
from logbook.tables import Cell, Column

BATCH = 500


@dataclass(frozen=True)
class EngineLine:
    """An engine with what is worked out of it."""

    engine: Engine
    condition: Condition
    times: Times


def happened_words(exceedance: Exceedance) -> str:
    """Return what an exceedance was, in a line."""
    reading, time = "reading not known", "time not known"
    if exceedance.peak is not None:
        reading = f"{figure(exceedance.peak)} {symbol_of(exceedance.unit)}"
    if exceedance.seconds_above is not None:
        time = f"{figure(exceedance.seconds_above)} s {exceedance.side} the limit"
    return f"{exceedance.chart}: {reading}, {time}"


def all_that_happened(inspection: Inspection) -> str:
    """Return what called for an inspection, in a line."""
    found = [happened_words(exceedance) for exceedance in inspection.exceedances.all()]
    return "; ".join(found) or f"{inspection.chart}: counted over several runs"


def clause_of(inspection: Inspection) -> str:
    """Return the clause that called for an inspection: chart, rule, and where the data says so."""
    source = inspection.reference or inspection.source or "source not recorded"
    return f"{inspection.chart}, {inspection.rule}. {source}"


def due_words(inspection: Inspection) -> str:
    """Return when an inspection is due, as far as the limits say."""
    return "before the next flight" if inspection.before_next_flight else "not called for before the next flight"


def age_of(inspection: Inspection) -> int:
    """Return how long ago an inspection was opened. [d]"""
    return (timezone.localdate() - timezone.localdate(inspection.opened_at)).days


def yes_no(answer: bool) -> str:
    """Return yes or no."""
    return "yes" if answer else "no"


def _hours(seconds: Any) -> Cell:
    return None if seconds is None else Decimal(hours_text(int(seconds), 2))


def _local(moment: datetime) -> datetime:
    return timezone.localtime(moment)


INSPECTION_COLUMNS = (
    Column("Inspection", lambda row: row.number),
    Column("What is called for", lambda row: row.summary),
    Column("Engine", lambda row: row.engine.serial),
    Column("Engine type", lambda row: row.engine.engine_type.name),
    Column("What happened", all_that_happened),
    Column("Called for by", lambda row: f"{row.chart}, {row.rule}"),
    Column("Done to", lambda row: row.reference),
    Column("Source of the limit", lambda row: row.source),
    Column("Limits revision", lambda row: row.revision.number),
    Column("Opened", lambda row: _local(row.opened_at), is_moment=True),
    Column("Age", age_of, "days"),
    Column("Due", due_words),
    Column("Required inspection item", lambda row: yes_no(row.required_inspection_item)),
    Column("Who has it", lambda row: str(row.assigned_to or "")),
    Column("State", lambda row: row.get_state_display()),
)
ENTRY_COLUMNS = (
    Column("Entry", lambda row: row.number),
    Column("Kind", lambda row: row.get_kind_display()),
    Column("What it records", lambda row: row.body.get("title")),
    Column("Engine", lambda row: row.engine.serial if row.engine else None),
    Column("Engine type", lambda row: row.engine.engine_type.name if row.engine else None),
    Column("Completed on", lambda row: row.completed_on),
    Column("Signed by", lambda row: str(row.signed_by)),
    Column("Signed", lambda row: _local(row.signed_at), is_moment=True),
    Column("State", entry_state),
    Column("Corrects entry", lambda row: row.corrects.number if row.corrects else None),
    Column("Engine's run time", lambda row: _hours(_times_in(row).get("run_time_s")), "h"),
    Column("Engine's time in service", lambda row: _hours(_times_in(row).get("time_in_service_s")), "h"),
    Column("Engine's starts", lambda row: _times_in(row).get("starts")),
    Column("Engine's cycles", lambda row: _times_in(row).get("cycles")),
)
ENGINE_COLUMNS = (
    Column("Engine", lambda row: row.engine.serial),
    Column("Engine type", lambda row: row.engine.engine_type.name),
    Column("Fitted to", lambda row: row.engine.fitted_to),
    Column("Position", lambda row: row.engine.position),
    Column("Condition", lambda row: row.condition.label),
    Column("Open inspections", lambda row: row.condition.open_count),
    Column("Run time", lambda row: _hours(row.times.run_time_s), "h"),
    Column("Time in service", lambda row: _hours(row.times.time_in_service_s), "h"),
    Column("Starts", lambda row: row.times.starts),
    Column("Cycles", lambda row: row.times.cycles),
    Column("Last overhaul", lambda row: row.engine.overhauled_on),
)
CONCERN_COLUMNS = (
    Column("What", str),
    Column("Reason given", lambda row: row.reason),
    Column("Kind", lambda row: row.get_kind_display()),
    Column("Of", lambda row: str(row.run or row.revision or "")),
    Column("Engine", lambda row: row.engine.serial if row.engine else ""),
    Column("Raised", lambda row: _local(row.raised_at), is_moment=True),
    Column("Raised with what was recorded by", lambda row: str(row.raised_by)),
    Column("Decision", lambda row: str(_settled(row) or "")),
    Column("Note", lambda row: getattr(_settled(row), "note", "")),
    Column("Settled by", lambda row: str(getattr(_settled(row), "settled_by", ""))),
    Column("Settled", lambda row: _local(row.settlement.settled_at) if _settled(row) else None, is_moment=True),
)


def _settled(concern: Concern) -> Settlement | None:
    return getattr(concern, "settlement", None)


def _times_in(entry: Entry) -> dict[str, Any]:
    return entry.body.get("times") or {}


def engine_lines(engines: QuerySet[Engine]) -> Iterator[EngineLine]:
    """Yield each engine with its condition and times, some hundred at a time."""
    keys = list(engines.values_list("pk", flat=True))
    for first in range(0, len(keys), BATCH):
        batch = list(engines.filter(pk__in=keys[first : first + BATCH]))
        times = engines_times(batch)
        conditions = conditions_of(batch, due_of(batch, times))
        for engine in batch:
            yield EngineLine(engine, conditions[engine.pk], times[engine.pk])

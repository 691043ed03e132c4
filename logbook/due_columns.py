"""What a list of what comes due says of a line when it is taken away as a file."""

from decimal import Decimal

from engines.coming_due import DueLine
from engines.counters import SECONDS, STANDARD, counter_of
from engines.due import DAYS
from engines.due_words import amount_words
from engines.models import TaskRecord
from engines.times import hours_text
from logbook.list_columns import yes_no
from logbook.tables import Cell, Column


def left_of(line: DueLine, counter: str) -> Cell:
    """Return what is left of one parameter of a line; nothing where it does not go by it."""
    part = next((part for part in line.left if part.counter == counter), None)
    if part is None:
        return None
    if part.counter != DAYS and counter_of(counter).unit == SECONDS:
        return Decimal(hours_text(part.left, 2))
    return part.left


def done_of(line: DueLine) -> TaskRecord | None:
    """Return the last time that a task was done; None where it never was, and for limits of parts."""
    last = line.last
    return None if last is None or last.outcome == TaskRecord.Outcome.BEGUN else last


def life_words(record: TaskRecord) -> str:
    """Return what the counters stood at when a task was done, those that had counted anything."""
    known = [counter.name for counter in STANDARD if record.stood.get(counter.name)]
    return "; ".join(amount_words(counter_of(name), record.stood[name]) for name in known)


DUE_COLUMNS = (
    Column("Engine", lambda line: line.where),
    Column("Engine type", lambda line: line.engine.engine_type.name if line.engine else ""),
    Column("What is due", lambda line: line.what),
    Column("Kind", lambda line: line.kind),
    Column("Mandatory", lambda line: yes_no(line.mandatory)),
    Column("How it stands", lambda line: line.state_words),
    Column("Last done", lambda line: done.on if (done := done_of(line)) else None),
    Column("Accumulated then", lambda line: life_words(done) if (done := done_of(line)) else None),
    Column("Method of compliance", lambda line: done.method if (done := done_of(line)) else None),
    Column("Time in service left", lambda line: left_of(line, "time_in_service"), "h"),
    Column("Run time left", lambda line: left_of(line, "run_time"), "h"),
    Column("Starts left", lambda line: left_of(line, "starts")),
    Column("Full cycles left", lambda line: left_of(line, "cycles")),
    Column("Days left", lambda line: left_of(line, DAYS)),
    Column("All that is left", lambda line: "; ".join(line.left_words)),
    Column("Due at", lambda line: "; ".join(line.at_words)),
    Column("Earliest", lambda line: line.earliest_on),
    Column("Latest", lambda line: line.latest_on),
    Column("By which use", lambda line: line.assumption),
    Column("Counted from", lambda line: line.basis),
    Column("Source", lambda line: line.source),
)

"""Recurring and one-time tasks as data: what is to be done, after how much use or by which day, and by whose word."""

from dataclasses import dataclass
from datetime import date
from typing import Final

DIRECTIVE: Final = "directive"
PRESERVATION: Final = "preservation"
LIMITATION: Final = "limitation"

KINDS: Final = {
    "inspection": "Scheduled inspection",
    "hot_section": "Hot section inspection",
    "overhaul": "Overhaul",
    DIRECTIVE: "Airworthiness directive",
    LIMITATION: "Airworthiness limitation",
    "bulletin": "Service bulletin",
    "oil_filter": "Oil and filters",
    "calendar": "Calendar item",
    PRESERVATION: "Preservation",
    "other": "Other task",
}

# How much of a counter is written in a document, and by what that is multiplied to be kept.
AMOUNTS: Final = {
    "time_in_service_h": ("time_in_service", 3600),
    "run_time_h": ("run_time", 3600),
    "starts": ("starts", 1),
    "cycles": ("cycles", 1),
    "partial_cycles": ("partial_cycles", 1),
}

NEW: Final = "new"
BEGUN: Final = "begun"


@dataclass(frozen=True)
class Interval:
    """Amounts of counters and lengths of time, of which whichever is reached first counts.

    ``amounts`` pairs a counter's name with whole seconds or a count. ``months`` end on the same day of a later
    month, ``calendar_months`` with the last day of one.
    """

    amounts: tuple[tuple[str, int], ...] = ()
    days: int | None = None
    months: int | None = None
    calendar_months: int | None = None

    @property
    def has_calendar(self) -> bool:
        """Return whether a day is reached besides, or instead of, an amount."""
        return not (self.days is None and self.months is None and self.calendar_months is None)


@dataclass(frozen=True)
class TaskData:
    """One task: its name among the tasks of an engine, its kind, and when it is due.

    ``initial`` is reached first, since new or since the task began to apply (``counts_from``); ``repeat`` after
    each time it was done, and without it the task is done once. ``extension`` is what the source itself grants.
    Doing one of ``done_with`` does this task too, as an overhaul does a hot section inspection.
    """

    name: str
    kind: str
    mandatory: bool
    initial: Interval | None = None
    repeat: Interval | None = None
    extension: Interval | None = None
    counts_from: str = NEW
    done_with: tuple[str, ...] = ()
    number: str = ""
    revision: str = ""
    revision_date: date | None = None
    reference: str = ""
    source: str = ""

    @property
    def is_recurring(self) -> bool:
        """Return whether it comes round again after it was done."""
        return self.repeat is not None

    @property
    def kind_words(self) -> str:
        """Return what kind of task it is, in words."""
        return KINDS[self.kind]

    @property
    def title(self) -> str:
        """Return the name with number and revision, where it has them."""
        numbered = " ".join(word for word in (self.number, self.revision and f"revision {self.revision}") if word)
        return f"{self.name} ({numbered})" if numbered else self.name

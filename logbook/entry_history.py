"""How an entry came to be and what came before and after it, for whoever checks the logbook."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

from django.urls import reverse
from django.utils import timezone

from engines.models import RunTrace
from inspections.models import Inspection, Judgement
from inspections.queries import judgement_list
from logbook.models import Entry, Person
from logbook.print_sets import with_versions
from logbook.queries import entries_shown, entry_list
from logbook.statements.record_age import record_late
from logbook.verdict_words import verdict_word

LATE_AFTER = 3  # days between the day an entry is about and the day it was signed


@dataclass(frozen=True)
class JudgementLine:
    """One judgement of the run: its word, the entries that print it, and the sources of its figures."""

    judgement: Judgement
    word: str
    entries: tuple[Entry, ...]
    is_this: bool
    figures: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class FileLine:
    """One recorded file that the entry rests on; ``trace`` is None where the run no longer has it."""

    name: str
    sha256: str
    trace: RunTrace | None


def days_late(about: date, signed: datetime) -> int | None:
    """Return by how many days an entry was signed after the day it is about, or None where that is no more than stated.

    The day of signing is the operator's, by the clock of the site.
    """
    days = (timezone.localdate(signed) - about).days
    return days if days > LATE_AFTER else None


@dataclass(frozen=True)
class History:
    """One entry's history, read for one person."""

    entry: Entry
    person: Person

    @property
    def late_after(self) -> int:
        """Return the days after which an entry is flagged as late."""
        return LATE_AFTER

    @cached_property
    def late(self) -> int | None:
        """Return by how many days the entry is late, or None."""
        return days_late(self.entry.completed_on, self.entry.signed_at)

    @cached_property
    def late_words(self) -> str:
        """Return by which day the entry had to be in the record, where its rules say so and it came later."""
        ruleset = (self.entry.body.get("release") or {}).get("ruleset") or ""
        return record_late(self.entry.completed_on, ruleset, timezone.localdate(self.entry.signed_at))

    @cached_property
    def others(self) -> list[Entry]:
        """Return the other entries about the same run, in order of their numbers."""
        if self.entry.run_id is None:
            return []
        same = entries_shown(self.person).filter(run_id=self.entry.run_id)
        return [entry for entry in same if entry.pk != self.entry.pk]

    @property
    def earlier(self) -> list[Entry]:
        """Return the entries about the same run that were made before this one."""
        return [entry for entry in self.others if entry.number < self.entry.number]

    @property
    def later(self) -> list[Entry]:
        """Return the entries about the same run that were made after this one."""
        return [entry for entry in self.others if entry.number > self.entry.number]

    @cached_property
    def versions(self) -> list[Entry]:
        """Return every version of the entry, the first of them first; none where it was never corrected."""
        if self.entry.run_id is None:
            numbers = with_versions(self.person, entry_list(self.person).filter(pk=self.entry.pk))
            found = list(entries_shown(self.person).filter(number__in=numbers).order_by("number"))
        else:
            found = linked_to(self.entry, self.others)
        return found if len(found) > 1 else []

    @cached_property
    def judgements(self) -> list[JudgementLine]:
        """Return every judgement of the run, in order of time."""
        if self.entry.run_id is None:
            return []
        rows = list(judgement_list(self.person).filter(run_id=self.entry.run_id).order_by("pk"))
        entries = sorted([self.entry, *self.others], key=lambda entry: entry.number)
        printed = {entry.pk: printed_judgement(entry, rows) for entry in entries}
        readings = sum(item["kind"] == "reading" for item in self.entry.body.get("evidence", ()))
        return [
            JudgementLine(
                judgement=row,
                word=verdict_word(row, readings),
                entries=tuple(entry for entry in entries if printed[entry.pk] == row),
                is_this=printed[self.entry.pk] == row,
                figures=figures_of(row),
            )
            for row in rows
        ]

    @cached_property
    def inspections(self) -> list[Inspection]:
        """Return the inspections that the run called for."""
        run = self.entry.run
        return [] if run is None else list(run.inspections.order_by("number"))

    @cached_property
    def files(self) -> list[FileLine]:
        """Return the recorded files that the entry rests on."""
        kept = {} if self.entry.run is None else {t.original_sha256: t for t in self.entry.run.traces.all()}
        evidence = [item for item in self.entry.body.get("evidence", ()) if item["kind"] == "trace"]
        return [FileLine(item["name"], item["sha256"], kept.get(item["sha256"])) for item in evidence]


def linked_to(entry: Entry, others: Iterable[Entry]) -> list[Entry]:
    """Return an entry with those others that correct it or that it corrects, however far off, by number."""
    found = {entry.pk: entry}
    ends = sorted(others, key=lambda other: other.number)
    for other in reversed(ends):
        if any(version.corrects_id == other.pk for version in found.values()):
            found[other.pk] = other
    for other in ends:
        if other.corrects_id in found:
            found[other.pk] = other
    return sorted(found.values(), key=lambda version: version.number)


def printed_judgement(entry: Entry, judgements: list[Judgement]) -> Judgement | None:
    """Return the judgement that an entry prints: the newest when it was signed."""
    return next((row for row in reversed(judgements) if row.judged_at.replace(microsecond=0) <= entry.signed_at), None)


def figures_of(judgement: Judgement) -> tuple[tuple[str, str], ...]:
    """Return for each excursion of a judgement its chart and the address of its figures' sources."""
    return tuple(
        (excursion["chart"], reverse("excursion_source", args=[judgement.run_id, judgement.pk, place]))
        for place, excursion in enumerate(judgement.verdict["excursions"], 1)
    )

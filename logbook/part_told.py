"""Which row of the record an older entry about a part states, found by what its text says of it.

Entries that were signed before such rows were named beside them stay as they are; so what they say is held against what
was recorded of the part about the moment at which they were signed.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Final, TypeVar

from django.utils import timezone

from engines.models import Component, PartDone, PartLimit, PartMovement
from logbook.models import Entry
from logbook.part_acts import KINDS, said_at
from logbook.part_words import limit_words

Row = PartMovement | PartDone | PartLimit | Component
R = TypeVar("R", PartMovement, PartDone, PartLimit)
LINES: Final = frozenset(KINDS.values())
ABOUT: Final = ("component", "engine", "parent")


def row_told(entry: Entry) -> Row | None:
    """Return the row that an entry tells of, None where nothing that was recorded reads like it."""
    said = dict(entry.body.get("part") or ())
    if entry.kind in LINES:
        return _line_told(entry, said)
    if entry.kind == Entry.Kind.PART_DONE:
        rows = PartDone.objects.filter(component=entry.component, statements=None).select_related("component", "limit")
        told = [done for done in rows if said.get("Completed at") in ways_said(done.at)]
        return _nearest(entry, ((done.recorded_at, done) for done in told))
    if entry.kind == Entry.Kind.PART_LIMIT:
        return _limit_told(entry, said)
    return None


def _line_told(entry: Entry, said: dict[str, str]) -> PartMovement | None:
    rows = PartMovement.objects.filter(component=entry.component, statements=None).select_related(*ABOUT)
    what, when = said.get("What was done"), said.get("When")
    told = [line for line in rows if line.get_kind_display() == what and when in ways_said(line.at)]
    return _nearest(entry, ((line.recorded_at, line) for line in told))


def ways_said(at: datetime) -> tuple[str, str]:
    """Return a moment as entries say it, and as they said it before, in figures alone."""
    return said_at(at), f"{timezone.localtime(at):%Y-%m-%d %H:%M %z}"


def _limit_told(entry: Entry, said: dict[str, str]) -> PartLimit | None:
    part = entry.component
    assert part is not None
    rows = PartLimit.objects.filter(operator=entry.operator_id, part_number=part.part_number, statements=None)
    what = (said.get("Limit"), said.get("Source"))
    told = [row for row in rows if (limit_words(row), f"{row.source}, revision {row.source_revision}") == what]
    return _nearest(entry, ((row.entered_at, row) for row in told))


def _nearest(entry: Entry, rows: Iterable[tuple[datetime, R]]) -> R | None:
    """Return the row that was recorded nearest to when an entry was signed."""
    found = min(rows, key=lambda row: abs(row[0] - entry.signed_at), default=None)
    return None if found is None else found[1]


def row_came_back(entry: Entry) -> PartMovement | None:
    """Return the line by which a part came back with the record that an entry says was received, None otherwise."""
    received = entry.body.get("received") or {}
    came = PartMovement.objects.filter(component=entry.component, kind=PartMovement.Kind.RETURNED, statements=None)
    record = f"Package {received.get('package_sha256')}"
    return came.filter(remarks=record).select_related(*ABOUT).last() if received else None

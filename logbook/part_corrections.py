"""Correcting the entry of a part: what it states is stated anew, and signed in its place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, time
from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.utils import timezone

from engines import actions
from engines.actions.limits import LimitFacts
from engines.actions.part_corrections import Stated
from engines.errors import DomainError
from engines.models import Component, PartDone, PartLimit, PartMovement
from logbook.corrections import signed_fault
from logbook.handover.words import received_rows
from logbook.models import Entry, PartStatement
from logbook.part_acts import CONFIRMS, PartAct, act_seal, limited, met, opened, told_of
from logbook.part_told import Row, row_came_back, row_told

if TYPE_CHECKING:
    from logbook.corrections import Correcting
    from logbook.models import Person

ACTS: Final = {Entry.Kind.PART_LIMIT: "limits.enter"}


def row_of(entry: Entry) -> Row | None:
    """Return what an entry about a part states: a row of the record, the part itself for its opening balance."""
    if entry.component is None:
        return None
    about = ("movement__component", "movement__engine", "movement__parent", "done__component", "done__limit", "limit")
    stated = PartStatement.objects.filter(entry=entry).select_related(*about).last()
    if stated is not None:
        return stated.movement or stated.done or stated.limit
    if entry.kind == Entry.Kind.OPENING:
        return row_came_back(entry) or entry.component
    return row_told(entry)


def part_correct_fault(entry: Entry, by: Person) -> DomainError | None:
    """Return why a person can't correct an entry about a part: it is corrected already, or somebody else's."""
    if fault := signed_fault(entry, by):
        return fault
    if not by.may(ACTS.get(Entry.Kind(entry.kind), "part.move")):
        return DomainError("Your role does not enter limits, and so corrects none.", code="role_may_not")
    return None


@transaction.atomic
def line_corrected(*, entry: Entry, stated: Stated, correcting: Correcting) -> Entry:
    """State anew how a part was fitted, removed or sent, and sign that in the place of an entry.

    Where the part ran, what it used and what is left of its limits follow. Raises what ``line_correct`` raises,
    "not_correctable", "corrected_before", "not_yours", "certificate_not_valid", and "text_changed".
    """

    def restate(row: Row) -> PartAct:
        assert isinstance(row, PartMovement)
        made = actions.line_correct(line=row, stated=stated, why=correcting.why, by=correcting.by)
        return told_of(made)

    return _corrected(entry, PartMovement, restate, correcting)


@transaction.atomic
def done_corrected(*, entry: Entry, at: datetime, reference: str, correcting: Correcting, tested_by: str = "") -> Entry:
    """State anew when and to which data an interval was met, and sign that; what is due follows.

    Raises what ``part_done_correct`` raises, and what ``line_corrected`` raises of entries.
    """

    def restate(row: Row) -> PartAct:
        assert isinstance(row, PartDone)
        told: dict[str, Any] = {"at": at, "reference": reference, "tested_by": tested_by}
        return met(actions.part_done_correct(done=row, why=correcting.why, by=correcting.by, **told))

    return _corrected(entry, PartDone, restate, correcting)


@transaction.atomic
def limit_corrected(*, entry: Entry, facts: LimitFacts, correcting: Correcting) -> Entry:
    """State anew what was entered wrong of a limit, and sign that; nothing is raised by it.

    Raises what ``limit_correct`` raises, and what ``line_corrected`` raises of entries.
    """

    def restate(row: Row) -> PartAct:
        assert isinstance(row, PartLimit)
        return limited(actions.limit_correct(limit=row, facts=facts, why=correcting.why, by=correcting.by))

    return _corrected(entry, PartLimit, restate, correcting)


@transaction.atomic
def opening_corrected(*, entry: Entry, stated: dict[str, Any], correcting: Correcting) -> Entry:
    """State anew what a part had used when its record here began, and sign that; its times follow.

    Raises what ``component_correct`` raises, and what ``line_corrected`` raises of entries.
    """

    def restate(row: Row) -> PartAct:
        assert isinstance(row, Component)
        return opened(actions.component_correct(component=row, why=correcting.why, **stated))

    return _corrected(entry, Component, restate, correcting)


def _corrected(entry: Entry, wanted: type[Row], restate: Callable[[Row], PartAct], correcting: Correcting) -> Entry:
    component = Component.objects.select_for_update().filter(pk=entry.component_id or 0).first()
    row = row_of(entry)
    if component is None or not isinstance(row, wanted):
        raise DomainError("This entry is not corrected on this sheet.", code="not_correctable")
    if fault := part_correct_fault(entry, correcting.by):
        raise fault
    act = restate(row)
    if not isinstance(row, PartMovement | PartDone):  # not of a moment of its own, so it stays of the same day
        act = replace(act, at=timezone.make_aware(datetime.combine(entry.completed_on, time(12))))
    act = replace(act, corrects=entry, why=correcting.why, **_as_received(entry, act))
    component.refresh_from_db()
    signing = replace(correcting.signing, meaning=CONFIRMS)
    return act_seal(component, act, correcting.by, signing, correcting.read)


def _as_received(entry: Entry, act: PartAct) -> dict[str, Any]:
    """Return what stays of the entry by which a part's record was received, whatever is stated anew beside it."""
    received = entry.body.get("received")
    if not received:
        return {}
    rows = (*act.rows, *received_rows(received))
    return {"kind": entry.kind, "title": entry.body["title"], "rows": rows, "kept": {"received": received}}

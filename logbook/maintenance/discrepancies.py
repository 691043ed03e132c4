"""Discrepancies as entries make them and settle them."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.db.models import Max

from engines.models import Engine, Operator
from logbook.maintenance.queries import not_closed, unsettled
from logbook.maintenance.reading import provisional_of
from logbook.maintenance.rows import Discrepancy, DiscrepancyLine, Work
from logbook.models import Entry
from logbook.statements.elements import CONDITIONAL
from logbook.statements.provisional import provisional_ends
from logbook.statements.required import NOT_DONE, SETTLING
from logbook.statements.required import Discrepancy as Found

OPEN, DEFERRED, CLOSED = DiscrepancyLine.State.OPEN, DiscrepancyLine.State.DEFERRED, DiscrepancyLine.State.CLOSED
PENDING = DiscrepancyLine.State.PENDING
Again = Sequence[tuple[Discrepancy, str, str]]


def again_of(engine: Engine) -> list[Discrepancy]:
    """Return what is deferred on an engine, which its next inspection has to deal with."""
    return list(unsettled(engine, DEFERRED))


def still_open(engine: Engine) -> list[Discrepancy]:
    """Return the open discrepancies of an engine."""
    return list(unsettled(engine, OPEN))


def standing_of(engine: Engine) -> list[Discrepancy]:
    """Return what work on an engine may settle: what is open, deferred, or a condition of a release."""
    return list(not_closed(engine))


def closes_of(work: Work) -> list[Discrepancy]:
    """Return the discrepancies that work settles, of those that are not settled yet."""
    named = {str(key) for key in work.facts.get("closes") or ()}
    return [discrepancy for discrepancy in standing_of(work.engine) if str(discrepancy.pk) in named]


def lines_add(
    entry: Entry, work: Work, *, closes: Sequence[Discrepancy] = (), found: Sequence[Found] = (), again: Again = ()
) -> None:
    """Write what an entry does to discrepancies: closes some, finds some, and says what became of deferred ones."""
    for discrepancy in closes:
        _line(entry, discrepancy, CLOSED, words=work.said("description"))
    for discrepancy, answer, words in again:
        _again(entry, discrepancy, answer, words)
    _found(entry, work, [(line, DEFERRED if line.is_deferred else OPEN) for line in found])


def lines_restate(entry: Entry, work: Work, found: Sequence[Found]) -> None:
    """Write what a correcting entry states anew of the discrepancies that the work's first entry found.

    How each stands now stays; a correction settles nothing and opens nothing.
    """
    rows = work.entry.discrepancies.prefetch_related("lines") if work.entry else ()
    for discrepancy, line in zip(rows, found, strict=True):
        newest = list(discrepancy.lines.all())[-1]
        texts = {"text": line.text, "basis": line.basis}
        stated = {name: text for name, text in texts.items() if text != getattr(discrepancy, f"{name}_now")}
        said = {"deferral": line.deferral, "placard_by": line.placard_by, "placard_on": _day(line.placard_on)}
        kept = said if newest.state == DEFERRED else {}
        due = {"due_on": line.due_on} if line.due_on != discrepancy.due_now else {}
        if stated or due or any(getattr(newest, name) != value for name, value in kept.items()):
            _line(entry, discrepancy, newest.state, **stated, **kept, **due)


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


def condition_add(entry: Entry, work: Work, conditions: Sequence[Found]) -> None:
    """Write down the condition on which an entry releases; it stands until a signed entry settles it."""
    _found(entry, work, [(condition, PENDING) for condition in conditions])


def conditions_of(work: Work, release: Mapping[str, Any], completed_on: date) -> list[Found]:
    """Return the conditions on which work is released: the one that is stated, or the two of a release away from base.

    Those have their last days by M.A.801(c).
    """
    said = provisional_of(work)
    if said is None:
        return [Found(work.said("pending"), release["label"])] if release["outcome"] == CONDITIONAL else []
    check_by, tell_by = provisional_ends(completed_on, said.days)
    check = f"{work.said('pending').rstrip('.')}; to be checked again by {check_by}"
    told = f"{said.told.rstrip('.')} to be told of the release away from base, by {tell_by}"
    return [Found(check, "M.A.801(c)", due_on=check_by), Found(told, "M.A.801(c)", due_on=tell_by)]


def _line(entry: Entry, discrepancy: Discrepancy, state: str, **words: object) -> None:
    DiscrepancyLine.objects.create(entry=entry, discrepancy=discrepancy, state=state, **words)


def _again(entry: Entry, discrepancy: Discrepancy, answer: str, words: str) -> None:
    """Close a deferred item that was settled, defer one again that was inspected, open one that was not dealt with."""
    before = discrepancy.lines.last()
    if answer in SETTLING:
        _line(entry, discrepancy, CLOSED, words=words)
    elif answer == NOT_DONE or before is None:
        _line(entry, discrepancy, OPEN, words=words)
    else:
        kept = {name: getattr(before, name) for name in ("deferral", "placard_by", "placard_on")}
        _line(entry, discrepancy, DEFERRED, words=words, **kept)


def _found(entry: Entry, work: Work, found: Sequence[tuple[Found, str]]) -> None:
    operator = Operator.objects.select_for_update().get(pk=entry.operator_id)
    last = operator.discrepancies.aggregate(last=Max("number"))["last"] or 0
    for number, (line, state) in enumerate(found, last + 1):
        about = {"operator": operator, "engine": work.engine, "entry": entry, "text": line.text, "basis": line.basis}
        row = Discrepancy.objects.create(number=number, **about)
        kept = {"deferral": line.deferral, "placard_by": line.placard_by, "placard_on": line.placard_on or None}
        _line(entry, row, state, due_on=line.due_on, **(kept if state == DEFERRED else {}))

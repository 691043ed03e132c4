"""Correcting the entry of a list of parts: one of its lines is stated anew, and the whole list signed in its place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

from django.db import transaction
from django.db.models import CharField, Value
from django.db.models.functions import Concat
from django.utils import timezone

from engines import actions
from engines.errors import DomainError
from engines.models import Component, PartMovement
from logbook.actions import certificate_check, text_check
from logbook.corrections import first_of, signed_fault
from logbook.entry_bodies import corrected_body
from logbook.ledger.answers import SUPERSEDED
from logbook.ledger.store import entry_seal
from logbook.models import Entry
from logbook.part_acts import CONFIRMS
from logbook.part_lists import FITTED, brought_words, fitted_words
from logbook.signing import signed_body

if TYPE_CHECKING:
    from engines.actions.parts import Fitting
    from logbook.corrections import Correcting

NOT_LISTED: Final = "This list has no such line."


@dataclass(frozen=True)
class Listed:
    """One line of a signed list: a part with what it brought, and how the list fitted it, where it did."""

    component: Component
    words: str
    fitted: PartMovement | None


def is_list(entry: Entry) -> bool:
    """Return whether an entry is of a list of parts."""
    return entry.kind == Entry.Kind.OPENING and entry.component_id is None and entry.engine_id is None


def lines_of(entry: Entry) -> list[tuple[str, str]]:
    """Return the lines of a list as they were signed: which part, and what is said of it."""
    return [(str(name), str(words)) for name, words in entry.body.get("part") or ()] if is_list(entry) else []


def listed_of(entry: Entry, name: str) -> Listed | None:
    """Return one line of a list by the part that it names, None where it names none such."""
    words = dict(lines_of(entry)).get(name)
    named = Concat("part_number", Value(" "), "serial", output_field=CharField())
    parts = Component.objects.annotate(named=named).filter(operator=entry.operator_id)
    component = parts.filter(named=name).select_related("operator").first()
    if words is None or component is None:
        return None
    is_fitted = FITTED in dict(lines_of(first_of(entry))).get(name, "")
    return Listed(component, words, _fitted_by(component) if is_fitted else None)


def _fitted_by(component: Component) -> PartMovement | None:
    """Return the first line of a part's ledger, as it was stated last."""
    about = ("engine", "parent", "component", "replaced_by")
    line = component.movements.select_related(*about).order_by("pk").first()
    while line is not None and hasattr(line, "replaced_by"):
        line = PartMovement.objects.select_related(*about).get(pk=line.replaced_by.pk)
    return line


@transaction.atomic
def listed_opening_corrected(*, entry: Entry, name: str, stated: dict[str, Any], correcting: Correcting) -> Entry:
    """State anew what a part of a list had used when its record here began, and sign the list in its place.

    Raises what ``component_correct`` raises, "not_correctable", "corrected_before", "not_yours",
    "certificate_not_valid", and "text_changed".
    """

    def restate(listed: Listed) -> str:
        actions.component_correct(component=listed.component, why=correcting.why, **stated)
        listed.component.refresh_from_db()
        return _said(listed.component, listed.fitted)

    return _corrected(entry, name, restate, correcting)


@transaction.atomic
def listed_fitting_corrected(*, entry: Entry, name: str, stated: Fitting, correcting: Correcting) -> Entry:
    """State anew how a part of a list was fitted, and sign the list in its place; where it ran follows.

    Raises what ``line_correct`` raises, and what ``listed_opening_corrected`` raises of entries.
    """

    def restate(listed: Listed) -> str:
        if listed.fitted is None:
            raise DomainError("The list did not fit this part.", code="not_correctable")
        line = actions.line_correct(line=listed.fitted, stated=stated, why=correcting.why, by=correcting.by)
        return _said(listed.component, line)

    return _corrected(entry, name, restate, correcting)


def _said(component: Component, fitted: PartMovement | None) -> str:
    return "; ".join([brought_words(component), *([fitted_words(fitted)] if fitted is not None else [])])


def _corrected(entry: Entry, name: str, restate: Callable[[Listed], str], correcting: Correcting) -> Entry:
    listed = listed_of(entry, name)
    if listed is None:
        raise DomainError(NOT_LISTED, code="not_correctable")
    if fault := signed_fault(entry, correcting.by):
        raise fault
    words = restate(listed)
    certificate_check(correcting.by, correcting.signing.certificate, timezone.localdate())
    kept = {key: value for key, value in entry.body.items() if key not in ("signed", "correction")}
    lines = [[one, words if one == name else before] for one, before in lines_of(entry)]
    body = corrected_body(entry, kept | {"part": lines}, how=SUPERSEDED, why=correcting.why)
    at = timezone.now().replace(microsecond=0)
    text = signed_body(body, correcting.by, replace(correcting.signing, meaning=CONFIRMS), at)
    text_check(text, correcting.read)
    about = {"completed_on": entry.completed_on, "signed_by": correcting.by, "signed_at": at}
    return entry_seal(operator_id=entry.operator_id, body=text, kind=entry.kind, corrects=entry, **about)

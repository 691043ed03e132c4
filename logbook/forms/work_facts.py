"""Facts of work as another program sends them, read by the same boxes as the screen's."""

from collections.abc import Mapping
from typing import Any

from django.forms import Form

from engines.errors import DomainError
from logbook.forms.maintenance import SHEETS, AgainLine, FoundLine
from logbook.maintenance.rows import Work
from logbook.maintenance.rules import rules_of

LISTS = ("found", "again")


def facts_read(work: Work, said: Mapping[str, Any]) -> dict[str, Any]:
    """Return facts as they are kept; DomainError "facts_unreadable" names what is not a field or can't be read."""
    is_inspection = work.kind == Work.Kind.INSPECTION
    form = SHEETS[work.kind](
        {name: value for name, value in said.items() if name not in LISTS},
        work=work,
        rules=rules_of(work.operator_id),
    )
    known = {*form.fields, *(LISTS if is_inspection else ())}
    faults = {name: "is not a field here" for name in said if name not in known}
    form.is_valid()
    faults |= {name: " ".join(map(str, errors)) for name, errors in form.errors.items()}
    lists, of_lists = _lists(said) if is_inspection else ({}, {})
    faults |= of_lists
    if faults:
        words = "; ".join(f"{name}: {fault}" for name, fault in faults.items())
        raise DomainError(words, code="facts_unreadable", fields=faults)
    return form.facts() | lists


def _lists(said: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, str]]:
    """Return the discrepancies found and the answers to deferred ones, and what is wrong with them by path."""
    found, again = said.get("found") or [], said.get("again") or {}
    if not isinstance(found, list) or not isinstance(again, Mapping):
        return {}, {"found": "is a list of discrepancies, and again answers by number of the row"}
    lines = {f"found[{k}]": FoundLine(line) for k, line in enumerate(found) if isinstance(line, Mapping)}
    answers = {f"again.{key}": AgainLine(line) for key, line in again.items() if isinstance(line, Mapping)}
    faults = _faults(lines) | _faults(answers)
    if faults:
        return {}, faults
    kept = {path.removeprefix("again."): form.cleaned_data for path, form in answers.items()}
    return {"found": [form.line() for form in lines.values()], "again": kept}, {}


def _faults(sheets: Mapping[str, Form]) -> dict[str, str]:
    """Return what can't be read in some sheets, by path."""
    wrong = ((f"{path}.{name}", errors) for path, form in sheets.items() for name, errors in form.errors.items())
    return {path: " ".join(map(str, errors)) for path, errors in wrong}

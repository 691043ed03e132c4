"""Correcting an entry about parts or a task: what it states in boxes, then read and sign."""

from collections.abc import Mapping
from functools import partial
from typing import Any, Final
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render

from engines.errors import DomainError
from engines.models import PartDone, PartLimit, PartMovement, TaskRecord
from engines.web import PAGE_ROWS, UNPROCESSABLE, ScreenRequest
from logbook import part_corrections as acts
from logbook.corrections import signed_fault
from logbook.forms.part_corrections import (
    SHEETS,
    DoneCorrectForm,
    LimitCorrectForm,
    PartOpeningCorrectForm,
)
from logbook.forms.task_corrections import ExtensionCorrectForm, TaskCorrectForm
from logbook.list_corrections import (
    NOT_LISTED,
    lines_of,
    listed_fitting_corrected,
    listed_of,
    listed_opening_corrected,
)
from logbook.models import Entry
from logbook.part_lists import FITTED
from logbook.part_told import Row
from logbook.queries import entry_for
from logbook.task_corrections import NOT_HERE, standing_signed, task_corrected
from logbook.views.signing import read_and_sign

FITTING: Final = "fitting"
TEMPLATE = "logbook/entry_correct.html"
LEADS: Final[dict[type, str]] = {
    PartMovement: "Where the part ran, what it used and what is left of its limits follow from what you state.",
    PartDone: "Its interval begins anew at the moment that you state, and what is due follows.",
    PartLimit: "Nothing is raised by a correction: what allows more is entered as a newer revision of its source.",
}
OPENING = "The times of the part follow from what you state."


def part_correct(request: ScreenRequest, entry: Entry, row: Row) -> HttpResponse:
    """Show what an entry states about a part, to be put right, and sign what is to stand."""
    context = {"entry": entry, "lead": LEADS.get(type(row), OPENING)}
    if fault := acts.part_correct_fault(entry, request.user):
        return refused(request, TEMPLATE, context, fault)

    def sign(form: Any) -> Entry:
        return _corrected(entry_for(request.user, entry.number), row, form)

    return read_and_sign(request, partial(sheet_of(row), row=row), sign, template=TEMPLATE, context=context)


def sheet_of(row: Row) -> Any:
    """Return the sheet on which a row is stated anew."""
    if isinstance(row, PartMovement):
        return SHEETS[row.kind]
    others: dict[type, Any] = {PartDone: DoneCorrectForm, PartLimit: LimitCorrectForm}
    return others.get(type(row), PartOpeningCorrectForm)


def task_correct(request: ScreenRequest, entry: Entry, line: TaskRecord) -> HttpResponse:
    """Show what was recorded of a task, to be put right, and sign what is to stand."""
    context = {"entry": entry, "lead": "What is due again, and when, follows from what you state."}
    standing = standing_signed(entry, line)
    fault = signed_fault(entry, request.user)
    if standing is None or fault:
        return refused(request, TEMPLATE, context, fault or DomainError(NOT_HERE))

    def sign(form: Any) -> Entry:
        now = entry_for(request.user, entry.number)
        return task_corrected(entry=now, said=form.said(), correcting=form.correcting())

    kind = ExtensionCorrectForm if line.is_extended else TaskCorrectForm
    sheet = partial(kind, row=line, standing=standing)
    return read_and_sign(request, sheet, sign, template=TEMPLATE, context=context)


def list_correct(request: ScreenRequest, entry: Entry) -> HttpResponse:
    """Show which line of a list of parts is to be put right, then what it states, and sign the list anew."""
    context: dict[str, Any] = {"entry": entry, "lead": "The whole list is signed anew, with the line as you state it."}
    if fault := signed_fault(entry, request.user):
        return refused(request, TEMPLATE, context, fault)
    name = request.GET.get("part", "")
    if not name:
        return render(request, TEMPLATE, context | _listed_shown(entry, request.GET.get("serial", "")))
    listed = listed_of(entry, name)
    is_of_fitting = request.GET.get("what") == FITTING
    row = None if listed is None else listed.fitted if is_of_fitting else listed.component
    if row is None:
        return refused(request, TEMPLATE, context, DomainError(NOT_LISTED))

    def sign(form: Any) -> Entry:
        now, correcting = entry_for(request.user, entry.number), form.correcting()
        if is_of_fitting:
            return listed_fitting_corrected(entry=now, name=name, stated=form.stated_line(), correcting=correcting)
        return listed_opening_corrected(entry=now, name=name, stated=form.stated_opening(), correcting=correcting)

    shown = context | {"listed": listed, "lead": f"{name}. {context['lead']}"}
    return read_and_sign(request, partial(sheet_of(row), row=row), sign, template=TEMPLATE, context=shown)


def _listed_shown(entry: Entry, serial: str) -> dict[str, Any]:
    """Return the lines of a list that a text is found in, the first of them, each with where it is put right."""
    every = lines_of(entry)
    found = [line for line in every if serial.casefold() in line[0].casefold()]
    rows = [
        {"name": name, "words": words, "query": urlencode({"part": name}), "is_fitted": FITTED in words}
        for name, words in found[:PAGE_ROWS]
    ]
    return {"lines": rows, "of": len(every), "serial": serial}


def refused(request: ScreenRequest, template: str, context: Mapping[str, object], fault: DomainError) -> HttpResponse:
    """Say why nothing can be corrected here by this person."""
    status = UNPROCESSABLE if request.method == "POST" else 200
    return render(request, template, {**context, "fault": fault.message}, status=status)


def _corrected(entry: Entry, row: Row, form: Any) -> Entry:
    correcting, data = form.correcting(), form.cleaned_data
    if isinstance(row, PartMovement):
        return acts.line_corrected(entry=entry, stated=form.stated_line(), correcting=correcting)
    if isinstance(row, PartDone):
        said = {"at": form.moment(), "reference": data["reference"], "tested_by": data.get("tested_by", "")}
        return acts.done_corrected(entry=entry, correcting=correcting, **said)
    if isinstance(row, PartLimit):
        return acts.limit_corrected(entry=entry, facts=form.facts(), correcting=correcting)
    return acts.opening_corrected(entry=entry, stated=form.stated_opening(), correcting=correcting)

"""Correcting an entry about a part: what it states in boxes, then read and sign."""

from functools import partial
from typing import Any, Final

from django.http import HttpResponse
from django.shortcuts import render

from engines.models import PartDone, PartLimit, PartMovement
from engines.web import UNPROCESSABLE, ScreenRequest
from logbook import part_corrections as acts
from logbook.forms.part_corrections import (
    SHEETS,
    DoneCorrectForm,
    LimitCorrectForm,
    PartOpeningCorrectForm,
)
from logbook.models import Entry
from logbook.queries import entry_for
from logbook.views.signing import read_and_sign

TEMPLATE = "logbook/entry_correct.html"
LEADS: Final[dict[type, str]] = {
    PartMovement: "Where the part ran, what it used and what is left of its limits follow from what you state.",
    PartDone: "Its interval begins anew at the moment that you state, and what is due follows.",
    PartLimit: "Nothing is raised by a correction: what allows more is entered as a newer revision of its source.",
}
OPENING = "The times of the part follow from what you state."


def part_correct(request: ScreenRequest, entry: Entry, row: acts.Row) -> HttpResponse:
    """Show what an entry states about a part, to be put right, and sign what is to stand."""
    context = {"entry": entry, "lead": LEADS.get(type(row), OPENING)}
    if fault := acts.part_correct_fault(entry, request.user):
        status = UNPROCESSABLE if request.method == "POST" else 200
        return render(request, TEMPLATE, context | {"fault": fault.message}, status=status)

    def sign(form: Any) -> Entry:
        return _corrected(entry_for(request.user, entry.number), row, form)

    return read_and_sign(request, partial(sheet_of(row), row=row), sign, template=TEMPLATE, context=context)


def sheet_of(row: acts.Row) -> Any:
    """Return the sheet on which a row is stated anew."""
    if isinstance(row, PartMovement):
        return SHEETS[row.kind]
    others: dict[type, Any] = {PartDone: DoneCorrectForm, PartLimit: LimitCorrectForm}
    return others.get(type(row), PartOpeningCorrectForm)


def _corrected(entry: Entry, row: acts.Row, form: Any) -> Entry:
    correcting, data = form.correcting(), form.cleaned_data
    if isinstance(row, PartMovement):
        return acts.line_corrected(entry=entry, stated=form.stated_line(), correcting=correcting)
    if isinstance(row, PartDone):
        said = {"at": form.moment(), "reference": data["reference"], "tested_by": data.get("tested_by", "")}
        return acts.done_corrected(entry=entry, correcting=correcting, **said)
    if isinstance(row, PartLimit):
        return acts.limit_corrected(entry=entry, facts=form.facts(), correcting=correcting)
    return acts.opening_corrected(entry=entry, stated=form.stated_opening(), correcting=correcting)

"""The inspection programme of an engine's aircraft: how it stands, selecting it, and correcting a selection."""

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render

from engines.models import ProgrammeSelection
from engines.queries import engine_for
from engines.web import ScreenRequest, found, page_of, screen
from logbook.corrections import signed_fault
from logbook.forms.programmes import ProgrammeCorrectForm, ProgrammeForm
from logbook.models import Entry
from logbook.programmes import SELECTS, gate_of, programme_corrected, programme_rows, programme_sign, selection_list
from logbook.queries import entry_for
from logbook.views.part_corrections import TEMPLATE, refused
from logbook.views.signing import read_and_sign

SELECTING = (
    "Of the aircraft that the engine is fitted to, selected for its owner or operator. It stands from its day on, "
    "until another is selected; what is due counts on."
)
LEAD = "Under which programme the aircraft is inspected since that day follows from what you state."


@screen("read")
def engine_programme(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show under which programme an engine's aircraft is inspected, and what was selected before."""
    engine = found(engine_for, request.user, pk)
    gate = gate_of(engine)
    context = {
        "engine": engine,
        "gate": gate,
        "rows": programme_rows(gate.selection) if gate.selection else [],
        "page": page_of(request, selection_list(engine)),
    }
    return render(request, "engines/engine_programme.html", context)


@screen("programme.select")
def programme_select(request: ScreenRequest, pk: int) -> HttpResponse:
    """Ask under which programme an engine's aircraft is inspected, show the text of it, and sign it."""
    engine = found(engine_for, request.user, pk)
    if engine.left_at:
        messages.warning(request, f"Engine {engine} was handed over to {engine.left_to}; its record here is closed.")
        return redirect("engine_programme", engine.pk)

    def sign(form: Any) -> Entry:
        said, read = form.said(), form.cleaned_data.get("read", "")
        return programme_sign(engine=engine, said=said, by=request.user, signing=form.signing(SELECTS), read=read)

    sheet = partial(ProgrammeForm, engine=engine)
    context = {"engine": engine, "heading": f"Select the inspection programme of {engine.serial}", "lead": SELECTING}
    return read_and_sign(request, sheet, sign, template="engines/programme_select.html", context=context)


def programme_correct(request: ScreenRequest, entry: Entry, row: ProgrammeSelection) -> HttpResponse:
    """Show a selection as it was signed, to be put right, and sign what is to stand."""
    context = {"entry": entry, "lead": LEAD}
    if fault := signed_fault(entry, request.user):
        return refused(request, TEMPLATE, context, fault)

    def sign(form: Any) -> Entry:
        now = entry_for(request.user, entry.number)
        return programme_corrected(entry=now, said=form.said(), correcting=form.correcting())

    return read_and_sign(request, partial(ProgrammeCorrectForm, row=row), sign, template=TEMPLATE, context=context)

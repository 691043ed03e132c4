"""Correcting what is recorded and signed: what stands, what is to stand and why, then read and sign."""

from collections.abc import Callable
from functools import partial
from typing import Any, Final
from uuid import UUID

from django.http import HttpResponse

from engines.errors import DomainError
from engines.queries import run_for
from engines.web import ScreenRequest, found, screen
from inspections.closing import Closing
from logbook import corrections
from logbook.forms.corrections import (
    WORK_SHEETS,
    AddendumCorrectForm,
    InspectionCorrectForm,
    RunCorrectForm,
    RunVoidForm,
    WorkCorrectingSheet,
)
from logbook.forms.signing import SigningSheet
from logbook.list_corrections import lines_of
from logbook.maintenance.correcting import work_corrected, work_of
from logbook.maintenance.rows import Work
from logbook.models import Entry
from logbook.part_corrections import row_of
from logbook.photos.addenda import addendum_corrected
from logbook.programmes import selection_of
from logbook.queries import entry_for, run_entry_of
from logbook.task_corrections import line_of
from logbook.views.part_corrections import list_correct, part_correct, refused, task_correct
from logbook.views.programmes import programme_correct
from logbook.views.signing import read_and_sign


@screen("run.record")
def run_correct(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Show a run as it stands, to be put right, and sign what is to stand."""
    run = found(run_for, request.user, pk)
    earlier = run_entry_of(run)
    context = {"run": run, "earlier": earlier, "kept_as": f"run-correct:{run.pk}:{earlier.number if earlier else 0}"}
    if fault := corrections.run_correct_fault(run, request.user):
        return refused(request, "logbook/run_correct.html", context, fault)

    def sign(form: SigningSheet) -> Entry:
        assert isinstance(form, RunCorrectForm)
        now = run_for(request.user, pk)
        return corrections.run_corrected(run=now, facts=form.facts(), correcting=form.correcting())

    sheet = partial(RunCorrectForm, run=run)
    return read_and_sign(request, sheet, sign, template="logbook/run_correct.html", context=context)


@screen("run.record")
def run_void(request: ScreenRequest, pk: UUID) -> HttpResponse:
    """Ask why a run never took place on its engine, and sign that."""
    run = found(run_for, request.user, pk)
    context = {"run": run, "earlier": run_entry_of(run), "inspections": run.inspections.order_by("number")}
    if fault := corrections.run_correct_fault(run, request.user):
        return refused(request, "logbook/run_void.html", context, fault)

    def sign(form: SigningSheet) -> Entry:
        assert isinstance(form, RunVoidForm)
        return corrections.run_voided(run=run_for(request.user, pk), correcting=form.correcting())

    return read_and_sign(request, RunVoidForm, sign, template="logbook/run_void.html", context=context)


@screen("inspection.close")
def entry_correct(request: ScreenRequest, number: int) -> HttpResponse:
    """Show what was stated when an inspection ended, to be put right, and sign what is to stand."""
    entry = found(entry_for, request.user, number)
    if entry.kind in Entry.RUNS and entry.run_id:
        elsewhere = DomainError("What was run is corrected on the sheet of the run.")
        return refused(request, "logbook/entry_correct.html", {"entry": entry}, elsewhere)
    if entry.kind == Entry.Kind.ADDENDUM:
        return addendum_correct(request, entry)
    if lines_of(entry):
        return list_correct(request, entry)
    for row_stated, correct in SHEETS:
        if row := row_stated(entry):
            return correct(request, entry, row)
    if fault := corrections.entry_correct_fault(entry, request.user):
        return refused(request, "logbook/entry_correct.html", {"entry": entry}, fault)

    def sign(form: SigningSheet) -> Entry:
        assert isinstance(form, InspectionCorrectForm)
        return corrections.inspection_corrected(
            entry=entry_for(request.user, number),
            closing=closing_of(entry, form),
            correcting=form.correcting(),
            **{name: form.cleaned_data[name] for name in ("limitations", "incomplete", "justification")},
        )

    sheet = partial(InspectionCorrectForm, entry=entry)
    return read_and_sign(request, sheet, sign, template="logbook/entry_correct.html", context={"entry": entry})


def work_correct(request: ScreenRequest, entry: Entry, work: Work) -> HttpResponse:
    """Show maintenance or an opening balance as it was signed, to be put right, and sign what is to stand."""
    if fault := corrections.signed_fault(entry, request.user):
        return refused(request, "logbook/entry_correct.html", {"entry": entry}, fault)

    def sign(form: SigningSheet) -> Entry:
        assert isinstance(form, WorkCorrectingSheet)
        now = entry_for(request.user, entry.number)
        return work_corrected(entry=now, facts=form.facts(), correcting=form.correcting())

    sheet = partial(WORK_SHEETS[work.kind], work=work)
    return read_and_sign(request, sheet, sign, template="logbook/entry_correct.html", context={"entry": entry})


def addendum_correct(request: ScreenRequest, entry: Entry) -> HttpResponse:
    """Show the remarks of an addendum, to be put right, and sign what is to stand."""
    context = {"entry": entry, "lead": "The photos that it took up stay in it."}
    if fault := corrections.signed_fault(entry, request.user):
        return refused(request, "logbook/entry_correct.html", context, fault)

    def sign(form: SigningSheet) -> Entry:
        assert isinstance(form, AddendumCorrectForm)
        now, remarks = entry_for(request.user, entry.number), form.cleaned_data["remarks"]
        return addendum_corrected(entry=now, remarks=remarks, correcting=form.correcting())

    sheet = partial(AddendumCorrectForm, entry=entry)
    return read_and_sign(request, sheet, sign, template="logbook/entry_correct.html", context=context)


def closing_of(entry: Entry, form: InspectionCorrectForm) -> Closing:
    """Return how the inspection ended, with what is stated of it now."""
    data = form.cleaned_data
    certificate = data["certificate"]
    return Closing(
        outcome=entry.body["release"]["outcome"],
        extent=data["extent"],
        completed_on=data["completed_on"],
        certificate_kind=certificate.kind,
        certificate_number=certificate.number,
        signed_name=str(form.person),
        given_to=data.get("given_to", ""),
    )


# What finds the row that an entry states, and what shows the sheet on which it is stated anew, in turn.
SHEETS: Final[tuple[tuple[Callable[[Entry], Any], Callable[[ScreenRequest, Entry, Any], HttpResponse]], ...]] = (
    (work_of, work_correct),
    (line_of, task_correct),
    (selection_of, programme_correct),
    (row_of, part_correct),
)

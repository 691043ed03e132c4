"""The work on an inspection: each act one sheet, answered with the inspection as it then stands."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST

from engines.web import ScreenRequest, found, screen
from inspections import actions
from inspections.models import Inspection
from inspections.queries import inspection_for
from logbook.forms.fields import Sheet
from logbook.forms.work import ActionForm, CauseForm, FindingForm, NoteForm, StepForm
from logbook.second_look import second_look
from logbook.views.beside import back_beside
from logbook.views.inspections import inspection_page


def answered(
    request: ScreenRequest, inspection: Inspection, form: Sheet, action: Callable[[dict[str, Any]], object], done: str
) -> HttpResponse:
    """Do an act with what a sheet says, and show the inspection: as it is now, or with what was refused."""
    form.act(lambda: action(form.cleaned_data))
    if form.errors:
        return inspection_page(request, inspection, wrong=form)
    messages.success(request, done)
    return inspection_page(request, found(inspection_for, request.user, inspection.pk))


@require_POST
@screen("inspection.work")
def inspection_begin(request: ScreenRequest, pk: int) -> HttpResponse:
    """Say that the work is begun."""
    inspection = found(inspection_for, request.user, pk)
    actions.inspection_begin(inspection=inspection, by=request.user)
    messages.success(request, "The work is begun.")
    return inspection_page(request, found(inspection_for, request.user, pk))


@require_POST
@screen("inspection.work")
def step_answer(request: ScreenRequest, pk: int, step: int) -> HttpResponse:
    """Answer one step."""
    inspection = found(inspection_for, request.user, pk)
    row = get_object_or_404(inspection.steps, position=step)
    form = StepForm(request.POST, prefix=f"step{step}")

    def answer(data: dict[str, Any]) -> object:
        return actions.step_answer(step=row, by=request.user, answer=data["answer"], reason=data["reason"])

    return answered(request, inspection, form, answer, f"Step {step} is answered.")


@require_POST
@screen("inspection.note")
def note_add(request: ScreenRequest, pk: int) -> HttpResponse:
    """Write a note."""
    inspection = found(inspection_for, request.user, pk)
    form = NoteForm(request.POST, prefix="note")

    def add(data: dict[str, Any]) -> object:
        return actions.note_add(inspection=inspection, by=request.user, text=data["text"])

    shown = answered(request, inspection, form, add, "The note is kept.")
    return shown if form.errors else back_beside(request, pk) or shown


@require_POST
@screen("inspection.work")
def finding_add(request: ScreenRequest, pk: int) -> HttpResponse:
    """Record a discrepancy."""
    inspection = found(inspection_for, request.user, pk)
    form = FindingForm(request.POST, prefix="finding")

    def add(data: dict[str, Any]) -> object:
        return actions.finding_add(inspection=inspection, by=request.user, text=data["text"])

    return answered(request, inspection, form, add, "The finding is recorded.")


@require_POST
@screen("inspection.work")
def action_add(request: ScreenRequest, pk: int) -> HttpResponse:
    """Record a corrective action."""
    inspection = found(inspection_for, request.user, pk)
    form = ActionForm(request.POST, prefix="action", inspection=inspection)

    def add(data: dict[str, Any]) -> object:
        return actions.action_add(inspection=inspection, by=request.user, **data)

    return answered(request, inspection, form, add, "The action is recorded.")


@require_POST
@screen("inspection.work")
def cause_set(request: ScreenRequest, pk: int) -> HttpResponse:
    """Say how far the cause is known."""
    inspection = found(inspection_for, request.user, pk)
    form = CauseForm(request.POST, prefix="cause")

    def say(data: dict[str, Any]) -> object:
        return actions.cause_set(inspection=inspection, by=request.user, cause=data["cause"], text=data["text"])

    return answered(request, inspection, form, say, "The cause is recorded.")


@require_POST
@screen("inspection.second")
def inspection_second(request: ScreenRequest, pk: int) -> HttpResponse:
    """Record the second look at a required inspection item."""
    inspection = found(inspection_for, request.user, pk)
    second_look(inspection=inspection, by=request.user)
    messages.success(request, "The second look is recorded.")
    return inspection_page(request, found(inspection_for, request.user, pk))

"""Handing jobs over: those a person leaves, those a person takes."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from engines.web import UNPROCESSABLE, ScreenRequest, found, screen, sent
from inspections import actions
from inspections.queries import handover_for, handovers_waiting, inspection_for, jobs_of
from logbook.forms.handover import HandoverForm


@screen("read")
def handover_list(request: ScreenRequest) -> HttpResponse:
    """Show the jobs that the person may leave, and those that wait for somebody to take them."""
    waiting = list(handovers_waiting(request.user))
    mine = [handover for handover in waiting if handover.told_to_id == request.user.pk]
    context = {
        "jobs": jobs_of(request.user) if request.user.may("inspection.work") else [],
        "waiting_for": {handover.inspection_id: handover.told_to for handover in waiting},
        "mine": mine,
        "others": [handover for handover in waiting if handover not in mine],
        "given": [handover for handover in waiting if handover.by_id == request.user.pk],
    }
    return render(request, "inspections/handover_list.html", context)


@screen("inspection.work")
def handover_give(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show the sheet of a handover, and hand the job over."""
    inspection = found(inspection_for, request.user, pk)
    form = HandoverForm(*sent(request), inspection=inspection, by=request.user)
    if request.method == "POST":
        given = form.act(
            lambda: actions.handover_give(
                inspection=inspection, facts=form.facts(), told_to=form.cleaned_data["told_to"], by=request.user
            )
        )
        if given is not None:
            messages.success(request, f"Handed over. It is yours until {given.told_to} takes it.")
            return redirect("handover_list")
    context = {"inspection": inspection, "form": form}
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "inspections/handover_give.html", context, status=status)


@require_POST
@screen("inspection.work")
def handover_take(request: ScreenRequest, pk: int) -> HttpResponse:
    """Take a job that was handed over to the person."""
    handover = found(handover_for, request.user, pk)
    actions.handover_take(handover=handover, by=request.user)
    messages.success(request, f"You have inspection {handover.inspection.number} now.")
    return redirect("inspection_detail", handover.inspection_id)

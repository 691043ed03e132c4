"""Adding a recorded trace to a run: the file, and where it is needed the matching of its columns."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render

from engines.models import Run
from engines.queries import revision_in_force, run_for
from engines.web import UNPROCESSABLE, ScreenRequest, found, screen, sent
from logbook.forms.traces import ColumnsForm, TraceForm
from logbook.judging import judging_of
from logbook.traces_waiting import WaitingTrace, proposal_of, trace_offer, trace_take, type_data, waiting_for

ADDED = "The trace is added, and the run is judged with it."
GONE = "The file is no longer kept here. Choose it again."


@screen("run.record")
def trace_add(request: ScreenRequest, pk: object) -> HttpResponse:
    """Take the file, or the matching of a file that waits for it."""
    run = found(run_for, request.user, pk)
    token = request.GET.get("waiting", "")
    if not token:
        return file_taken(request, run)
    waiting = waiting_for(request, run, token)
    if waiting is None:
        messages.warning(request, GONE)
        return redirect("trace_add", run.pk)
    return columns_matched(request, run, waiting)


def file_taken(request: ScreenRequest, run: Run) -> HttpResponse:
    """Show the sheet for the file, and take the file."""
    form = TraceForm(*sent(request))
    if request.method == "POST":
        kept: list[WaitingTrace | None] = []
        data = form.cleaned_data if form.is_valid() else {}
        form.act(lambda: kept.append(trace_offer(request, run, data["file"], ask=data["check"])))
        if kept:
            return redirect(kept[0].address(run)) if kept[0] is not None else shown(request, run)
    status = UNPROCESSABLE if form.errors else 200
    revision = revision_in_force(run.engine.engine_type, run.started_at.date())
    context = {"run": run, "form": form, "judging": judging_of(revision)}
    return render(request, "logbook/trace_add.html", context, status=status)


def columns_matched(request: ScreenRequest, run: Run, waiting: WaitingTrace) -> HttpResponse:
    """Show the file's columns beside the type's channels, and enter the trace as they are matched."""
    data = type_data(run.engine, run.started_at)
    with waiting.open() as file:
        proposal = proposal_of(run.engine, data, file, waiting.name)
    form = ColumnsForm(*sent(request), engine_type=data, proposal=proposal)
    if request.method == "POST":
        trace = form.act(lambda: trace_take(request, run, waiting, form.columns(), form.units()))
        if trace is not None:
            return shown(request, run)
    context = {"run": run, "form": form, "waiting": waiting, "proposal": proposal}
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "logbook/trace_add.html", context, status=status)


def shown(request: ScreenRequest, run: Run) -> HttpResponse:
    """Go on to the run with its new verdict."""
    messages.success(request, ADDED)
    return redirect("run_detail", run.pk)

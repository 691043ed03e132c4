"""Recording a run: the cautions first, then what was read, and the recorder's file if there is one."""

from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from engines.models import Engine, Run
from engines.queries import engine_for, revision_in_force, run_for
from engines.web import UNPROCESSABLE, ScreenRequest, found, screen, sent
from logbook.api.runs import run_once
from logbook.forms.run import RunForm
from logbook.traces_waiting import WaitingTrace, trace_offer


@screen("run.record")
def run_record(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show the sheet of a run, and record it."""
    engine = found(engine_for, request.user, pk)
    revision = revision_in_force(engine.engine_type, timezone.localdate())
    form = RunForm(*sent(request), engine_type=revision.data)
    waiting: list[WaitingTrace] = []
    if request.method == "POST":
        run = form.act(lambda: run_recorded(request, engine, form, waiting))
        if run is not None:
            return run_shown(request, run, waiting)
    context = {"engine": engine, "revision": revision, "form": form, "file_sent": bool(request.FILES)}
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "engines/run_record.html", context, status=status)


@transaction.atomic
def run_recorded(request: ScreenRequest, engine: Engine, form: RunForm, waiting: list[WaitingTrace]) -> Run:
    """Record the run and its trace together, or neither; a trace whose columns nobody can tell yet waits."""
    facts, file = form.facts(), form.cleaned_data["trace"]
    run_once(engine=engine, facts=facts, by=request.user)
    run = run_for(request.user, facts.id)
    if file is not None:
        kept = trace_offer(request, run, file)
        waiting += [kept] if kept is not None else []
    return run


def run_shown(request: ScreenRequest, run: Run, waiting: list[WaitingTrace]) -> HttpResponse:
    """Go on to the run, or to the matching of its trace's columns."""
    messages.success(request, "The run is recorded.")
    if waiting:
        return redirect(waiting[0].address(run))
    return redirect("run_detail", run.pk)

"""Recording a run: the cautions first, then what was read, and the recorder's file if there is one."""

from uuid import UUID

from django.contrib import messages
from django.db import IntegrityError, transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from engines.evidence import TraceFile
from engines.models import Engine, Run
from engines.queries import engine_list, revision_in_force, run_for, times_read, with_times
from engines.standing import with_tasks
from engines.web import UNPROCESSABLE, ScreenRequest, found, screen, sent
from inspections.queries import due_of
from logbook.actions import run_enter
from logbook.first_start_state import reasons_of, with_first_starts
from logbook.forms.run import RunForm
from logbook.judging import judging_of
from logbook.models import Person
from logbook.recording import body_digest, run_once
from logbook.shown_units import choices_of
from logbook.supervising import with_supervisors
from logbook.traces_waiting import WaitingTrace, is_known, trace_offer


@screen("run.record")
def run_record(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show the sheet of a run, and record it."""
    engine = found(engine_whole, request.user, pk)
    revision = revision_in_force(engine.engine_type, timezone.localdate())
    form = RunForm(*sent(request), engine_type=revision.data, engine=engine, chosen=choices_of(request.user))
    waiting: list[WaitingTrace] = []
    if request.method == "POST":
        run = form.act(lambda: run_recorded(request, engine, form, waiting))
        if run is not None:
            return run_shown(request, run, waiting)
    context = {
        "judging": judging_of(revision, form.calibrations),
        "engine": engine,
        "revision": revision,
        "form": form,
        "file_sent": bool(request.FILES),
        "overdue": [*due_of([engine], times_read([engine])).overdue(engine), *reasons_of(engine)],
    }
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "engines/run_record.html", context, status=status)


def engine_whole(user: Person, pk: int) -> Engine:
    """Return an engine with what tells whether something on it is overdue, or asks for a first start.

    Raises Engine.DoesNotExist where the person may not see it.
    """
    return with_supervisors(with_first_starts(with_times(with_tasks(engine_list(user))))).get(pk=pk)


def run_recorded(request: ScreenRequest, engine: Engine, form: RunForm, waiting: list[WaitingTrace]) -> Run:
    """Record the run and its trace together, or neither; the same sheet may arrive twice at one moment."""
    try:
        return run_stored(request, engine, form, waiting)
    except IntegrityError:
        # The other one was first, and is found now.
        return run_stored(request, engine, form, waiting)


@transaction.atomic
def run_stored(request: ScreenRequest, engine: Engine, form: RunForm, waiting: list[WaitingTrace]) -> Run:
    """Store the run; a trace whose columns nobody can tell yet waits."""
    facts, file = form.facts(), form.cleaned_data["trace"]
    if file is not None and is_new(facts.id) and is_known(engine, facts.started_at, file):
        digest = body_digest(facts, engine)
        run_enter(engine=engine, facts=facts, by=request.user, digest=digest, trace=TraceFile(file, file.name))
    else:
        run_once(engine=engine, facts=facts, by=request.user)
        kept = trace_offer(request, run_for(request.user, facts.id), file) if file is not None else None
        waiting += [kept] if kept is not None else []
    return run_for(request.user, facts.id)


def is_new(key: UUID) -> bool:
    """Return whether no run has that number yet."""
    return not Run.objects.filter(pk=key).exists()


def run_shown(request: ScreenRequest, run: Run, waiting: list[WaitingTrace]) -> HttpResponse:
    """Go on to the run, or to the matching of its trace's columns."""
    messages.success(request, "The run is recorded.")
    if waiting:
        return redirect(waiting[0].address(run))
    return redirect("run_detail", run.pk)

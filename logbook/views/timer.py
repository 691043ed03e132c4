"""The event timer: a screen of keys for an observer; what it measures goes into the run's sheet."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from engines.queries import engine_for, revision_in_force
from engines.timing import MARKS
from engines.web import ScreenRequest, found, screen
from logbook.timer_keys import timer_keys


@screen("run.record")
def run_timer(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show the timer of an engine's limits."""
    engine = found(engine_for, request.user, pk)
    revision = revision_in_force(engine.engine_type, timezone.localdate())
    keys = timer_keys(revision.data)
    context = {"engine": engine, "first": keys[:3], "others": keys[3:], "marks": MARKS.items()}
    return render(request, "engines/run_timer.html", context)

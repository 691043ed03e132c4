"""The engines an operator keeps, and one of them."""

from django.db.models import Count, Prefetch
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from engines.filters import EngineFilter
from engines.models import Engine, RunTrace, TypeRevision
from engines.queries import engine_for, engines_times, run_list
from engines.queries import engine_list as engines_of
from engines.record import engine_record as record_of
from engines.web import ScreenRequest, found, page_of, screen
from inspections.models import Judgement
from inspections.queries import condition_by, conditions_of, inspection_open_list
from logbook.forms.lists import list_fields
from logbook.queries import entry_list, unsigned_list
from logbook.verdict_words import verdict_word
from logbook.views.saved import views_shown

RECENT = 8


@screen("read")
def engine_list(request: ScreenRequest) -> HttpResponse:
    """Show a card for each engine: serial, where it is, its condition, what it has used."""
    rows = engines_of(request.user)
    filtered = EngineFilter(request.GET, queryset=rows, request=request)
    kept = rows.count()
    page = page_of(request, filtered.qs, count=None if filtered.form.has_changed() else kept)
    engines = list(page.object_list)
    conditions, times = conditions_of(engines), engines_times(engines)
    cards = [(engine, conditions[engine.pk], times[engine.pk]) for engine in engines]
    context = {
        "page": page,
        "cards": cards,
        "filter": filtered,
        "fields": list_fields(filtered, ("engine_type", "serial"), engine_type="Every type"),
        "kept": kept,
        **views_shown(request, "engine_list"),
    }
    return render(request, "engines/engine_list.html", context)


@screen("read")
def engine_detail(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show one engine: its condition and why, its times, its parts, its latest runs and entries."""
    engine = found(engine_for, request.user, pk)
    inspections = list(inspection_open_list(request.user).filter(engine=engine))
    record = record_of(engine)
    context = {
        "engine": engine,
        "condition": condition_by(inspections),
        "times": record.times,
        "components": [(part.component, part.times) for part in record.parts],
        "runs": recent_runs(request, engine),
        "inspections": inspections,
        "entries": entry_list(request.user).filter(engine=engine).order_by("-number")[:RECENT],
        "unsigned": list(unsigned_list(request.user).filter(engine=engine)[:RECENT]),
        "today": timezone.localdate(),
    }
    return render(request, "engines/engine_detail.html", context)


@screen("read")
def engine_record(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show an engine's record: times, parts fitted and moved, documents; all dated, with who recorded it."""
    engine = found(engine_for, request.user, pk)
    judged = TypeRevision.objects.filter(judgements__run__engine=engine).distinct().defer("document")
    traces = RunTrace.objects.filter(run__engine=engine).select_related("run", "recorded_by")
    context = {
        "engine": engine,
        "record": record_of(engine),
        "revisions": judged.select_related("entered_by", "checked_by").order_by("-number"),
        "page": page_of(request, traces.order_by("-run__started_at", "-pk")),
    }
    return render(request, "engines/engine_record.html", context)


def recent_runs(request: ScreenRequest, engine: Engine) -> list[dict[str, object]]:
    """Return an engine's latest runs, each with the word of its verdict."""
    standing = Prefetch("judgements", Judgement.objects.filter(is_current=True), to_attr="standing")
    runs = run_list(request.user).filter(engine=engine).annotate(typed=Count("readings")).order_by("-started_at")
    return [
        {"run": run, "word": verdict_word(next(iter(run.standing), None), run.typed)}
        for run in runs.prefetch_related(standing)[:RECENT]
    ]

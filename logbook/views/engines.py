"""The engines an operator keeps, and one of them."""

from typing import Any

from django.db.models import Count, F, JSONField, OuterRef, Q, QuerySet, Subquery
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from engines.filters import EngineFilter
from engines.models import Engine, RunTrace, TypeRevision
from engines.queries import engine_list as engines_of
from engines.queries import engines_here, run_list, stays_of_engine, times_read, with_corrections, with_times
from engines.record import engine_record as record_of
from engines.standing import standings_of, with_tasks
from engines.web import ScreenRequest, found, page_of, screen
from inspections.models import Judgement
from inspections.queries import Due, condition_by, due_of, inspection_open_list, with_unsettled
from logbook.conditions import condition_held, conditions_of
from logbook.forms.lists import list_fields
from logbook.maintenance.queries import holding, with_holding
from logbook.maintenance.rows import Work
from logbook.programmes import programme_told, with_programme
from logbook.queries import entry_list
from logbook.verdict_words import verdict_word
from logbook.views.saved import views_shown

RECENT = 8
FOUND_BY = ("engine_type", "serial", "show")
MOST_RUNS = 50  # read of those that wait to be signed, the latest included
STANDING_READINGS = Count("readings", filter=Q(readings__correction=F("correction")))


@screen("read")
def engine_list(request: ScreenRequest) -> HttpResponse:
    """Show a card for each engine: serial, where it is, its condition, what it has used."""
    rows = with_unsettled(with_times(with_holding(with_tasks(engines_asked(request)))))
    filtered = EngineFilter(request.GET, queryset=rows, request=request)
    kept = rows.count()
    page = page_of(request, filtered.qs, count=None if filtered.form.has_changed() else kept)
    engines = list(page.object_list)
    times = times_read(engines)
    due = due_of(engines, times)
    conditions = conditions_of(engines, due)
    cards = [(e, conditions[e.pk], times[e.pk], due.next(e)) for e in engines]
    context = {
        "page": page,
        "cards": cards,
        "filter": filtered,
        "fields": list_fields(filtered, FOUND_BY, engine_type="Every type", show="Those that are here"),
        "kept": kept,
        **views_shown(request, "engine_list"),
    }
    return render(request, "engines/engine_list.html", context)


def engines_asked(request: ScreenRequest) -> QuerySet[Engine]:
    """Return the engines that are here, unless the address asks for those that were handed over too."""
    return engines_of(request.user) if request.GET.get("show") else engines_here(request.user)


def whole(engines: QuerySet[Engine]) -> QuerySet[Engine]:
    """Return engines with tasks, programme, what holds them, and when a run of theirs was corrected last."""
    return with_programme(with_corrections(with_holding(with_tasks(engines))))


@screen("read")
def engine_detail(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show one engine: its condition and why, its times, its parts, its latest runs and entries."""
    engine = found(lambda user, key: whole(engines_of(user)).get(pk=key), request.user, pk)
    inspections = list(inspection_open_list(request.user).filter(engine=engine))
    record = record_of(engine)
    tasks = standings_of([engine], times={engine.pk: record.times})
    due = Due(tasks, {engine.pk: list(record.standings(timezone.localdate()))})
    runs, unsigned = runs_shown(request, engine)
    context = {
        "engine": engine,
        "condition": condition_held(condition_by(inspections, due.overdue(engine)), holding([engine])[engine.pk]),
        "work_kinds": Work.Kind.choices if request.user.may("work.do") else (),
        "next": due.next(engine),
        "programme": programme_told(engine),
        "times": record.times,
        "components": [(part.component, part.times) for part in record.parts],
        "runs": runs,
        "inspections": inspections,
        "entries": entry_list(request.user).filter(engine=engine).order_by("-number")[:RECENT],
        "unsigned": unsigned,
        "today": timezone.localdate(),
    }
    return render(request, "engines/engine_detail.html", context)


@screen("read")
def engine_record(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show an engine's record: times, parts fitted and moved, documents; all dated, with who recorded it."""
    engine = found(lambda user, key: with_corrections(engines_of(user)).get(pk=key), request.user, pk)
    judged = TypeRevision.objects.filter(judgements__run__engine=engine).distinct().defer("document")
    traces = RunTrace.objects.filter(run__engine=engine).select_related("run", "recorded_by")
    context = {
        "engine": engine,
        "record": record_of(engine),
        "revisions": judged.select_related("entered_by", "checked_by").order_by("-number"),
        "page": page_of(request, traces.order_by("-run__started_at", "-pk")),
        "others": stays_of_engine(engine),
    }
    return render(request, "engines/engine_record.html", context)


def runs_shown(request: ScreenRequest, engine: Engine) -> tuple[list[dict[str, object]], list[Any]]:
    """Return an engine's latest runs, each with the word of its verdict, and those that wait to be signed."""
    standing = Judgement.objects.filter(run=OuterRef("pk"), is_current=True).values("verdict")[:1]
    of_engine = run_list(request.user).filter(engine=engine)
    recent = of_engine.order_by("-started_at").values("pk")[:RECENT]
    runs = of_engine.filter(Q(pk__in=recent) | Q(unsigned__isnull=False)).select_related("unsigned")
    typed = runs.annotate(typed=STANDING_READINGS, verdict=Subquery(standing, output_field=JSONField()))
    read = list(typed.order_by("-started_at")[:MOST_RUNS])
    rows: list[dict[str, object]] = [
        {"run": run, "word": verdict_word(Judgement(verdict=run.verdict) if run.verdict else None, run.typed)}
        for run in read[:RECENT]
    ]
    return rows, [run for run in read if hasattr(run, "unsigned")][:RECENT]

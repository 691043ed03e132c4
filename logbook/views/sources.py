"""Where the numbers come from: an excursion's, a run's hours and starts, an engine's times, and the files."""

from itertools import accumulate
from uuid import UUID

from django.core.paginator import Paginator
from django.db.models import Q
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import render

from engines.models import Engine, Run
from engines.queries import engine_for, opening_of, run_for, run_list, used_in
from engines.times import Times, total
from engines.web import PAGE_ROWS, ScreenRequest, found, page_of, screen
from inspections.counted import count_source
from inspections.models import Judgement
from inspections.queries import judgement_for
from logbook.queries import entry_list
from logbook.sources import Source, segments_judged

BINARY = "application/octet-stream"


def judgement_of_run(request: ScreenRequest, pk: object, judgement: int) -> Judgement:
    """Return a judgement of one run; 404 where it is of another run, or the person may not see it."""
    row = found(judgement_for, request.user, judgement)
    if row.run_id != pk:
        raise Http404("This run has no such judgement.")
    return row


def source_of(request: ScreenRequest, pk: object, judgement: int, place: int) -> Source:
    """Return one excursion of a judgement, by its place from 1; 404 where there is none."""
    row = judgement_of_run(request, pk, judgement)
    if not 1 <= place <= len(row.verdict["excursions"]):
        raise Http404("This judgement has no such excursion.")
    return Source(row, place)


@screen("read")
def excursion_source(request: ScreenRequest, pk: object, judgement: int, place: int) -> HttpResponse:
    """Show where the figures of one excursion come from: arithmetic, rule, revision and samples."""
    source = source_of(request, pk, judgement, place)
    case = source.case
    context = {
        "source": source,
        "run": source.judgement.run,
        "judgement": source.judgement,
        "revision": source.judgement.revision,
        "trace": source.judgement.trace,
        "chart": case.chart,
        "channel": case.channel,
        "excursion": source.excursion,
        "explanation": source.explanation,
        "page": Paginator(source.lines, PAGE_ROWS).get_page(request.GET.get("page")),
        "entries": entry_list(request.user).filter(run=source.judgement.run),
    }
    return render(request, "logbook/excursion_source.html", context)


@screen("read")
def repeat_source(request: ScreenRequest, pk: object, judgement: int, place: int) -> HttpResponse:
    """Show what a repeat count rests on: what was counted, what was not and why, and the rule."""
    row = judgement_of_run(request, pk, judgement)
    source = count_source(row, place)
    if source is None:
        raise Http404("This judgement has no such count.")
    context = {
        "source": source,
        "stated": source.stated,
        "unit": "" if source.rule.area is not None else " s",
        "run": row.run,
        "judgement": row,
        "revision": row.revision,
        "chart": source.chart,
        "counted": Paginator(source.counted, PAGE_ROWS).get_page(request.GET.get("page")),
        "left": Paginator(source.left_out, PAGE_ROWS).get_page(request.GET.get("page")),
    }
    return render(request, "logbook/repeat_source.html", context)


@screen("read")
def excursion_samples(request: ScreenRequest, pk: object, judgement: int, place: int) -> HttpResponse:
    """Send the samples of one excursion, and some around it, as CSV."""
    source = source_of(request, pk, judgement, place)
    if source.samples is None:
        raise Http404(source.no_samples)
    name = f'attachment; filename="samples-{source.judgement.run_id}-{place}.csv"'
    return HttpResponse(source.csv(), content_type="text/csv; charset=utf-8", headers={"Content-Disposition": name})


@screen("read")
def trace_file(request: ScreenRequest, pk: object, trace: int) -> FileResponse:
    """Send one recorded file of a run as it came, to be kept and never to be shown as a page."""
    row = found(run_for, request.user, pk).traces.filter(pk=trace).first()
    if row is None:
        raise Http404("This run has no such file.")
    try:
        content = row.original.open("rb")
    except OSError as error:
        raise Http404("The file is not at hand.") from error
    return FileResponse(content, as_attachment=True, filename=row.original_name, content_type=BINARY)


@screen("read")
def usage_source(request: ScreenRequest, pk: object, judgement: int) -> HttpResponse:
    """Show where a run's hours, starts and cycles come from."""
    row = judgement_of_run(request, pk, judgement)
    segments, data = segments_judged(row), row.revision.data
    context = {
        "run": row.run,
        "judgement": row,
        "revision": row.revision,
        "trace": row.trace,
        "usage": row.verdict["usage"],
        "starts": row.verdict["starts"],
        "regimes": row.verdict["regimes"],
        "stints": [(lit, end, end - lit) for lit, end in segments.stints] if segments else [],
        "segmentation": data.segmentation,
        "speed": data.channel(data.segmentation.speed) if data.segmentation else None,
        "temperature": data.channel(data.segmentation.temperature) if data.segmentation else None,
    }
    return render(request, "logbook/usage_source.html", context)


@screen("read")
def engine_times(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show an engine's times line by line: what it brought, and each run with the sum so far."""
    engine = found(engine_for, request.user, pk)
    last = last_run(request, engine)
    runs = run_list(request.user).filter(engine=engine).order_by("started_at", "recorded_at", "pk")
    if last is not None:
        runs = runs.filter(started_at__lte=last.started_at)
    page = page_of(request, runs)
    shown = list(page.object_list)
    carried = carried_to(engine, shown[0]) if shown else opening_of(engine)
    sums = list(accumulate((counted(run) for run in shown), initial=carried))
    context = {
        "engine": engine,
        "until": last,
        "page": page,
        "opening": opening_of(engine),
        "carried": carried,
        "lines": list(zip(shown, sums[1:], strict=True)),
        "total": total([opening_of(engine), used_in(runs)]),
    }
    return render(request, "engines/engine_times.html", context)


def last_run(request: ScreenRequest, engine: Engine) -> Run | None:
    """Return the run up to which the address asks to add up; None for the newest, 404 for one that is not there."""
    asked = request.GET.get("run")
    if not asked:
        return None
    try:
        run = found(run_for, request.user, UUID(asked))
    except ValueError as error:
        raise Http404("There is no such run.") from error
    if run.engine_id != engine.pk:
        raise Http404("This engine has no such run.")
    return run


def counted(run: Run) -> Times:
    """Return what one run counts for."""
    return Times(run.run_time_s, run.time_in_service_s, run.starts, run.cycles)


def carried_to(engine: Engine, run: Run) -> Times:
    """Return what an engine had used before a run, in the order of its ledger."""
    same = Q(started_at=run.started_at)
    sooner = Q(recorded_at__lt=run.recorded_at) | Q(recorded_at=run.recorded_at, pk__lt=run.pk)
    earlier = engine.runs.filter(Q(started_at__lt=run.started_at) | (same & sooner))
    return total([opening_of(engine), used_in(earlier)])

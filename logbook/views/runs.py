"""One run: its verdict as a sentence, the picture, the same facts as a table, and what it rests on."""

from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString, mark_safe

from engines.charts import LimitChart
from engines.models import Run
from engines.timing import timed_words
from engines.web import ScreenRequest, found, screen
from inspections import states
from inspections.drawing.shapes import Picture
from inspections.drawing.svg import svg_text
from inspections.models import Judgement
from inspections.queries import judgement_of
from logbook.access import DIRECTOR
from logbook.advisories import advised_lines
from logbook.corrections import run_correct_fault
from logbook.entry_bodies import besides_of
from logbook.models import Person, Unsigned
from logbook.photos.shown import run_photos
from logbook.pictures import JudgedRun, judged_run
from logbook.queries import run_shown
from logbook.shown_units import judged_on, scales_for, shown_words
from logbook.sources import FactSheet, fact_sheets
from logbook.start_page import outcome_words
from logbook.verdict_words import Said, limit_lines, said_of, unknown_lines, verdict_word

NARROW, WIDE = (360.0, 380.0), (900.0, 460.0)
CURVE = (360.0, 300.0)
MOST_OPEN = 3  # excursions of a chart whose facts stand open; the others open on request


def signing_of(request: ScreenRequest, run: Run) -> dict[str, object]:
    """Return whether the run waits to be signed, and whether by whoever asks."""
    waiting: Unsigned | None = getattr(run, "unsigned", None)
    is_theirs = waiting is not None and (waiting.recorded_by_id == request.user.pk or request.user.role == DIRECTOR)
    return {"unsigned": waiting, "may_sign": is_theirs and request.user.may("run.record")}


@dataclass(frozen=True)
class ChartCase:
    """What stands under one chart: pictures for a phone and for a desk, curves, and the facts as tables."""

    chart: LimitChart
    narrow: SafeString
    wide: SafeString
    curves: list[SafeString]
    caption: str
    has_gaps: bool
    facts: list[FactSheet]
    more: list[FactSheet]


@screen("read")
def run_detail(request: ScreenRequest, pk: object) -> HttpResponse:
    """Show one run with its verdict."""
    run = found(run_shown, request.user, pk)
    readings, traces = list(run.readings.select_related("recorded_by")), list(run.traces.select_related("recorded_by"))
    standing = [reading for reading in readings if reading.correction == run.correction]
    inspections, judgement = list(run.inspections.order_by("number")), judgement_of(run)
    context: dict[str, object] = {
        "run": run,
        "judgement": judgement,
        "word": verdict_word(judgement, len(standing)),
        "readings": readings,
        "traces": traces,
        "inspections": inspections,
        "next_inspection": next((i for i in inspections if i.state in states.UNSETTLED), None),
        "reasons": run.reasons.filter(correction=run.correction).select_related("by"),
        "may_correct": request.user.may("run.record") and run_correct_fault(run, request.user) is None,
        "timed": timed_words(run.timed),
        "besides": besides_of(run),
        "entries": run.entries.order_by("number"),
        "photos": run_photos(run, request.user),
    }
    context |= signing_of(request, run)
    if judgement is not None:
        context |= judged_context(request.user, run, judgement, {reading.chart for reading in standing})
    return render(request, "logbook/run_detail.html", context)


def judged_context(person: Person, run: Run, judgement: Judgement, read: set[str]) -> dict[str, object]:
    """Return what a judged run shows a person: sentences, pictures, tables, and what is not known."""
    recorded, verdict = judged_run(judgement), judgement.verdict
    scales = scales_for(person, run.engine, recorded.data, run.started_at.date())
    judged = judged_on(recorded, scales)
    called = [said_of(judged, e) for e in judged.excursions if e.area_possible is not None]
    repeats = [] if isinstance(verdict["repeats"], str) else verdict["repeats"]
    return {
        "starts": [(start, outcome_words(start.outcome, start.figures["also"])) for start in judgement.starts.all()],
        "verdict": verdict,
        "called": sorted(called, key=lambda said: not said.is_due_first),
        "missed": near_misses(judged),
        "cases": [chart_case(judged, chart, judgement, f"chart{n}") for n, chart in enumerate(judged.charts)],
        "limits": limit_lines(judged, verdict, read),
        "repeats": repeats,
        "unknown": unknown_lines(judged, verdict),
        "advised": advised_lines(judgement.advisory, scales),
        "shown": shown_words(recorded.data, scales),
        "revision": judgement.revision,
        "earlier": getattr(run, "earlier", 0),
    }


def near_misses(judged: JudgedRun) -> list[Said]:
    """Return the excursions that entered no area, in sentences."""
    return [said_of(judged, excursion) for excursion in judged.excursions if excursion.area_possible is None]


def chart_case(judged: JudgedRun, chart: LimitChart, judgement: Judgement, prefix: str) -> ChartCase:
    """Return the pictures and tables of one chart."""
    curves, facts = enumerate(judged.curves(chart, CURVE)), fact_sheets(judged, chart, judgement)
    return ChartCase(
        chart=chart,
        narrow=drawn(judged.picture(chart, *NARROW), f"{prefix}n"),
        wide=drawn(judged.picture(chart, *WIDE), f"{prefix}w"),
        curves=[drawn(picture, f"{prefix}c{k}") for k, picture in curves],
        caption=judged.caption(chart),
        has_gaps=any(gap.channel == chart.channel for gap in judged.unobserved),
        facts=facts[:MOST_OPEN],
        more=facts[MOST_OPEN:],
    )


def drawn(picture: Picture | None, prefix: str) -> SafeString:
    """Return a picture as markup, or nothing where there is none; every text in it is escaped by the writer."""
    return mark_safe("" if picture is None else svg_text(picture, prefix))  # noqa: S308

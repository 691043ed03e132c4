"""One start of a run, on screen and on paper."""

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.safestring import SafeString

from engines.web import ScreenRequest, screen
from inspections.drawing.start_picture import StartScene, start_picture, start_summary, start_table
from inspections.models import StartRecord
from inspections.start_queries import start_for
from logbook.printing.start import start_pdf
from logbook.shown_units import scales_for
from logbook.start_page import start_page, starts_shown_words
from logbook.views.prints import press_of
from logbook.views.runs import drawn

NARROW, WIDE, PRINTED = (360.0, 340.0), (900.0, 420.0), (480.0, 270.0)


@dataclass(frozen=True)
class StartDrawing:
    """The pictures of one channel for a phone and for a desk, with the same facts in words."""

    name: str
    narrow: SafeString
    wide: SafeString
    summary: str
    facts: list[dict[str, str]]


def start_found(request: ScreenRequest, run: object, place: int) -> StartRecord:
    """Return one start; 404 where there is none, or the person may not see it."""
    try:
        return start_for(request.user, run, place)
    except StartRecord.DoesNotExist as error:
        raise Http404(str(error)) from error


def drawing_of(scene: StartScene, prefix: str) -> StartDrawing:
    """Return the pictures of one channel of a start."""
    return StartDrawing(
        name=scene.label,
        narrow=drawn(start_picture(scene, width=NARROW[0], height=NARROW[1]), f"{prefix}n"),
        wide=drawn(start_picture(scene, width=WIDE[0], height=WIDE[1]), f"{prefix}w"),
        summary=start_summary(scene),
        facts=start_table(scene),
    )


@screen("read")
def start_detail(request: ScreenRequest, pk: object, place: int) -> HttpResponse:
    """Show one start: how it ended, its figures, and its course against the type and the engine's own starts."""
    start = start_found(request, pk, place)
    run, data = start.judgement.run, start.judgement.revision.data
    scales = scales_for(request.user, run.engine, data, run.started_at.date())
    page = start_page(start, scales)
    context: dict[str, Any] = {
        "page": page,
        "run": run,
        "engine": run.engine,
        "revision": page.start.judgement.revision,
        "shown": starts_shown_words(data, scales),
        "drawings": [drawing_of(scene, f"start{k}") for k, scene in enumerate(page.scenes)],
    }
    return render(request, "engines/start_detail.html", context)


@screen("print")
def start_print(request: ScreenRequest, pk: object, place: int) -> HttpResponse:
    """Print one start."""
    page = start_page(start_found(request, pk, place))
    press = press_of(request)
    pictures = [start_picture(scene, width=PRINTED[0], height=PRINTED[1]) for scene in page.scenes]
    content = start_pdf(page, pictures, paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"start-{page.start.judgement.run.engine.serial}-{page.start.at:%Y-%m-%d}-{place}.pdf")

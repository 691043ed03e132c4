"""The operator's own limits of an engine, and what went beyond them: on screen and on paper."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from engines.queries import engine_for
from engines.web import PAGE_ROWS, ScreenRequest, found, screen
from logbook.advisories import engine_advisory_of
from logbook.engine_papers.advisory import advisory_sheet
from logbook.printing.engine_sheet import engine_sheet_pdf
from logbook.views.prints import press_of


@screen("read")
def engine_advisory(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show the operator's own limits of an engine, how often each was passed, and every time."""
    engine = found(engine_for, request.user, pk)
    advisory = engine_advisory_of(request.user, engine, timezone.localdate())
    page = Paginator(advisory.passed, PAGE_ROWS).get_page(request.GET.get("page"))
    return render(request, "engines/engine_advisory.html", {"engine": engine, "advisory": advisory, "page": page})


@screen("print")
def advisory_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print the operator's own limits of an engine, and what went beyond them."""
    engine, press = found(engine_for, request.user, pk), press_of(request)
    content = engine_sheet_pdf(advisory_sheet(request.user, engine), paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"own-limits-{engine.serial}-{timezone.localdate()}.pdf")

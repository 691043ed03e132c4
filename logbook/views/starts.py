"""A year of an engine's starts, on screen and on paper."""

from datetime import date, timedelta

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from engines.queries import engine_for
from engines.web import PAGE_ROWS, ScreenRequest, found, screen
from inspections.drawing.starts_picture import start_facts, starts_picture, summary_of
from logbook.printing.starts import starts_pdf
from logbook.starts import YearOfStarts, year_of_starts
from logbook.views.prints import press_of
from logbook.views.runs import drawn

YEARS = (1900, 9000)  # the calendar of dates ends not far outside
NARROW, WIDE, PRINTED = (360.0, 380.0), (900.0, 420.0), (480.0, 300.0)


def last_day(request: ScreenRequest) -> date:
    """Return the day that the address asks the year to end with; today where it asks for none."""
    asked = request.GET.get("to")
    if not asked:
        return timezone.localdate()
    try:
        day = date.fromisoformat(asked)
    except ValueError as error:
        raise Http404(f"“{asked}” is not a day.") from error
    if not YEARS[0] <= day.year <= YEARS[1]:
        raise Http404(f"No engine started in {day.year}.")
    return day


@screen("read")
def engine_starts(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show a year of an engine's starts: their peaks against the limit, and the same facts as a table."""
    engine, last = found(engine_for, request.user, pk), last_day(request)
    year = year_of_starts(request.user, engine, last)
    context = {"engine": engine, "last": last, "year": year, "earlier": last - timedelta(days=365)}
    if year is not None:
        rows = [(run, *facts.values()) for run, facts in zip(runs_of(year), start_facts(year.scene), strict=True)]
        context |= {
            "narrow": drawn(starts_picture(year.scene, width=NARROW[0], height=NARROW[1]), "startsn"),
            "wide": drawn(starts_picture(year.scene, width=WIDE[0], height=WIDE[1]), "startsw"),
            "summary": summary_of(year.scene),
            "page": Paginator(rows, PAGE_ROWS).get_page(request.GET.get("page")),
        }
    return render(request, "engines/engine_starts.html", context)


def runs_of(year: YearOfStarts) -> list[object]:
    """Return the run of each start, the newest start first, as the table has them."""
    return [year.runs[dot] for dot in sorted(year.scene.dots, key=lambda dot: dot.at, reverse=True)]


@screen("print")
def starts_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print a year of an engine's starts."""
    engine, last = found(engine_for, request.user, pk), last_day(request)
    year = year_of_starts(request.user, engine, last, as_recorded=True)
    if year is None:
        raise Http404("The type of this engine says nothing of starts.")
    picture = starts_picture(year.scene, width=PRINTED[0], height=PRINTED[1])
    press = press_of(request)
    content = starts_pdf(engine, year, picture, paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"starts-{engine.serial}-{last}.pdf")

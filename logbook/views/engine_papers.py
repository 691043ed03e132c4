"""What an engine's record is printed as: status report, log card, discrepancy lists, open and deferred items."""

from collections.abc import Callable

from django.http import HttpResponse
from django.utils import timezone

from engines.models import Engine
from engines.queries import engine_for
from engines.web import ScreenRequest, found, screen
from logbook.engine_papers.card import card_sheet
from logbook.engine_papers.items import discrepancies_sheet, open_items_sheet
from logbook.engine_papers.status import status_sheet
from logbook.models import Person
from logbook.printing.engine_sheet import EngineSheet, engine_sheet_pdf
from logbook.views.prints import press_of

Made = Callable[[Person, Engine], EngineSheet]


def _shown(request: ScreenRequest, pk: int, name: str, make: Made) -> HttpResponse:
    """Print one document about an engine."""
    engine, press = found(engine_for, request.user, pk), press_of(request)
    content = engine_sheet_pdf(make(request.user, engine), paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"{name}-{engine.serial}-{timezone.localdate()}.pdf")


@screen("print")
def status_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print the status report."""
    return _shown(request, pk, "status", status_sheet)


@screen("print")
def card_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print the log card."""
    return _shown(request, pk, "log-card", card_sheet)


@screen("print")
def discrepancies_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print the lists of discrepancies."""
    return _shown(request, pk, "discrepancies", discrepancies_sheet)


@screen("print")
def open_items_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print what is open and deferred."""
    return _shown(request, pk, "open-items", open_items_sheet)

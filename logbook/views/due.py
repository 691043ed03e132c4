"""What comes due: of all engines within some days, of one engine at any time; on screen, as files and on paper."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone

from engines.coming_due import DueLine, due_lines
from engines.models import Engine
from engines.part_queries import component_list, components_off
from engines.queries import engine_list, engine_times, engines_here, with_times
from engines.standing import part_tasks_of, standings_of, with_tasks
from engines.web import PAGE_ROWS, ScreenRequest, found, screen
from inspections.drawing.due_band import due_band
from inspections.drawing.use_picture import use_facts, use_picture, use_summary
from logbook.due_columns import DUE_COLUMNS
from logbook.due_record import scenes_of
from logbook.forms.due import DueForm, UseForm
from logbook.printing.tasks import tasks_pdf
from logbook.views.lists import table
from logbook.views.prints import press_of
from logbook.views.runs import drawn

NARROW, WIDE, PRINTED = (360.0, 300.0), (900.0, 340.0), (480.0, 260.0)
DAYS = 90


@dataclass(frozen=True)
class Asked:
    """What an address asks for: the sheet, the lines that answer, how many there are without it, within which days."""

    form: DueForm
    lines: list[DueLine]
    kept: int
    days: int


def engines_kept(user: Any) -> Any:
    """Return the engines that a person sees, with their tasks."""
    return with_tasks(engine_list(user))


def engines_due(user: Any) -> Any:
    """Return the engines that are here, with their tasks."""
    return with_tasks(engines_here(user))


def engine_kept(user: Any, pk: Any) -> Engine:
    """Return one engine with its tasks and times; Engine.DoesNotExist where the person may not see it."""
    engine: Engine = with_times(engines_kept(user)).get(pk=pk)
    return engine


def due_asked(request: ScreenRequest) -> Asked:
    """Return the lines that the address asks for, overdue first."""
    form = DueForm(request.GET or None)
    data = form.cleaned_data if form.is_valid() else {}
    days = data.get("days") or DAYS
    off = part_tasks_of(components_off(component_list(request.user)))
    lines = due_lines(engines_due(request.user), stated=form.stated(), off=off)
    asked = [line for line in lines if line.is_within(days) and answers(line, data)]
    return Asked(form, asked, len(lines), days)


def answers(line: DueLine, data: dict[str, Any]) -> bool:
    """Return whether a line is what a sheet asks for."""
    serial, show, engine = data.get("serial", ""), data.get("show", ""), data.get("engine", "")
    if engine and (line.engine is None or str(line.engine.pk) != engine):
        return False
    if serial.casefold() not in (line.engine.serial if line.engine else line.what).casefold():
        return False
    return {"mandatory": line.mandatory, "overdue": line.is_overdue}.get(show, True)


def banded(lines: Iterable[DueLine], first: int = 0) -> list[tuple[DueLine, str]]:
    """Return lines with the picture of their ninety days."""
    return [(line, drawn(band_of(line), f"band{first + k}")) for k, line in enumerate(lines)]


def band_of(line: DueLine) -> Any:
    """Return the picture of a line's ninety days."""
    if line.is_overdue:
        return due_band(0, 0, line.when_words)
    return due_band(line.span.earliest if line.span else None, line.span.latest if line.span else None, line.when_words)


@screen("read")
def due_list(request: ScreenRequest) -> HttpResponse:
    """Show everything that comes due on all engines within ninety days, or what the address asks for."""
    asked = due_asked(request)
    page = Paginator(asked.lines, PAGE_ROWS).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": banded(page.object_list),
        "kept": asked.kept,
        "days": asked.days,
        "form": asked.form,
        "overdue": sum(line.is_overdue for line in asked.lines),
        "filters_sent": filters_sent(request),
        "today": timezone.localdate(),
    }
    return render(request, "engines/due_list.html", context)


def filters_sent(request: ScreenRequest) -> str:
    """Return what the address asks for, without the page, to be asked again by another address."""
    return urlencode([(k, v) for k, v in request.GET.items() if v and k != "page"])


@screen("read")
def due_table(request: ScreenRequest, form: str) -> HttpResponseBase:
    """Give the lines that the address asks for as a file."""
    return table(request, form, "due", DUE_COLUMNS, iter(due_asked(request).lines))


@screen("read")
def engine_due(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show everything that comes due on an engine, by which use, and what is closed."""
    engine = found(engine_kept, request.user, pk)
    form = UseForm(request.GET or None)
    record = scenes_of(engine, form.stated())
    pictures = [
        {
            "name": scene.label,
            "narrow": drawn(use_picture(scene, width=NARROW[0], height=NARROW[1]), f"use{k}n"),
            "wide": drawn(use_picture(scene, width=WIDE[0], height=WIDE[1]), f"use{k}w"),
            "summary": use_summary(scene),
            "facts": use_facts(scene),
        }
        for k, scene in enumerate(record.scenes)
    ]
    context = {
        "engine": engine,
        "rows": banded(record.lines),
        "closed": record.closed,
        "form": form,
        "pictures": pictures,
        "filters_sent": filters_sent(request),
        "today": timezone.localdate(),
    }
    return render(request, "engines/engine_due.html", context)


@screen("print")
def tasks_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print how the tasks of an engine stand: what was done last of each, and when it is due next."""
    engine = found(engine_kept, request.user, pk)
    standings = standings_of([engine])[engine.pk]
    press = press_of(request)
    content = tasks_pdf(engine, standings, times=engine_times(engine), paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"tasks-{engine.serial}-{timezone.localdate()}.pdf")

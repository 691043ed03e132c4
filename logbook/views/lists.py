"""The open inspections as a list, what can be done with several at once, and lists taken away as files and on paper."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Subquery
from django.forms import BoundField
from django.http import Http404, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone

from engines.errors import DomainError
from engines.filters import EngineFilter
from engines.models import Run
from engines.queries import engines_here
from engines.web import UNPROCESSABLE, ScreenRequest, page_of, screen
from inspections import actions, queries
from inspections.ages import BANDS
from inspections.filters import opened_within
from inspections.models import Inspection, InspectionNote
from logbook.filters import EntryFilter, HeldInspectionFilter
from logbook.forms.lists import list_fields
from logbook.forms.several import AssignSeveralForm
from logbook.list_columns import ENGINE_COLUMNS, ENTRY_COLUMNS, INSPECTION_COLUMNS, engine_lines
from logbook.printing.lists import inspections_pdf
from logbook.queries import entries_shown, entry_newest
from logbook.tables import Column, csv_lines, xlsx_bytes
from logbook.views.beside import back_beside, list_query, opened_in
from logbook.views.engines import engines_asked
from logbook.views.prints import press_of
from logbook.views.saved import views_shown

FOUND_BY = ("serial", "state", "before_next_flight", "assigned_to", "age")
QUIET_DAYS = 7
QUIET_SHOWN = 5
UNASKED = {
    "state": "Every state that is not settled",
    "before_next_flight": "Either",
    "assigned_to": "Anybody or nobody",
    "age": "Any time",
}
ROWS_AT_ONCE = 500
XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@dataclass(frozen=True)
class Asked:
    """The inspections that an address asks for: the filter, its rows, and how many there are without it."""

    filtered: Any
    rows: QuerySet[Inspection]
    among: QuerySet[Inspection]
    asks_state: bool


def inspections_asked(request: ScreenRequest) -> Asked:
    """Return the inspections that the address asks for, what is due first in front, then the oldest."""
    asks_state = bool(request.GET.get("state"))
    every = queries.inspection_list(request.user) if asks_state else queries.inspection_open_list(request.user)
    among = every.prefetch_related("exceedances").order_by("-before_next_flight", "opened_at", "pk")
    filtered = HeldInspectionFilter(request.GET, queryset=among, request=request)
    chosen = [int(key) for key in request.GET.getlist("chosen") if key.isdecimal() and len(key) < 19]
    rows = filtered.qs.filter(pk__in=chosen) if chosen else filtered.qs
    return Asked(filtered, rows, among, asks_state)


@screen("read")
def inspection_list(request: ScreenRequest) -> HttpResponse:
    """Show what is open, due first and oldest first, or what the address asks for."""
    asked = inspections_asked(request)
    counted = counts_of(request, asked)
    page = page_of(request, with_notes(asked.rows), count=counted["shown"])
    open_key = opened_in(request)
    context = {
        "page": page,
        "fields": boxes_of(asked.filtered),
        "filter": asked.filtered,
        "ages": [] if asked.asks_state else [(band, counted[band.key]) for band in BANDS],
        "kept": counted["kept"],
        "newest": entry_newest(request.user),
        "quiet": quiet_engines(request),
        "may_assign": request.user.may("inspection.assign"),
        "open_key": open_key,
        "opened": next((row for row in page.object_list if row.pk == open_key), None) if open_key else None,
        "close": list_query(request.GET),
        **views_shown(request, "inspection_list"),
    }
    return render(request, "inspections/inspection_list.html", context)


def with_notes(rows: QuerySet[Inspection]) -> QuerySet[Inspection]:
    """Return the rows with how many notes each has, and without the documents of their limits, which are long."""
    notes = InspectionNote.objects.filter(inspection=OuterRef("pk")).order_by().values("inspection")
    counted = notes.annotate(kept=Count("pk")).values("kept")
    return rows.annotate(notes_kept=Subquery(counted)).defer("revision__document")


def boxes_of(filtered: HeldInspectionFilter) -> list[BoundField]:
    """Return the boxes of the screen; an engine comes by address alone, since all of them may be too many to list."""
    filtered.form.fields["engine"].widget = forms.HiddenInput()
    fields = list_fields(filtered, FOUND_BY, **UNASKED)
    return [*fields, filtered.form["engine"]] if filtered.data.get("engine") else fields


def counts_of(request: ScreenRequest, asked: Asked) -> dict[str, int]:
    """Return how many rows are kept, how many are shown, and how many each band of ages would show, in one query."""
    query = request.GET.copy()
    query.pop("age", None)
    ageless = HeldInspectionFilter(query, queryset=asked.among, request=request).qs
    left = Q(pk__in=ageless.order_by().values("pk"))
    today = timezone.localdate()
    bands = {band.key: Count("pk", filter=left & opened_within(band, today)) for band in BANDS}
    shown = Q(pk__in=asked.rows.order_by().values("pk"))
    counted = asked.among.order_by().aggregate(kept=Count("pk"), shown=Count("pk", filter=shown), **bands)
    return dict(counted)


def quiet_engines(request: ScreenRequest) -> list[str]:
    """Return the first engines without a run of the last days: what a list of what was recorded has to admit."""
    since = timezone.now() - timedelta(days=QUIET_DAYS)
    heard = Exists(Run.objects.filter(engine=OuterRef("pk"), started_at__gte=since, is_void=False))
    return list(engines_here(request.user).filter(~heard).values_list("serial", flat=True)[: QUIET_SHOWN + 1])


@screen("inspection.assign")
def inspections_assign(request: ScreenRequest) -> HttpResponse:
    """Give several inspections to one person, after they have been read once more."""
    chosen = request.POST.getlist("chosen") if request.method == "POST" else request.GET.getlist("chosen")
    keys = [int(key) for key in chosen if key.isdecimal() and len(key) < 19]
    rows = list(queries.inspection_open_list(request.user).filter(pk__in=keys).order_by("number"))
    if not rows:
        raise DomainError("Choose at least one open inspection in the list first.", code="nothing_chosen")
    form = AssignSeveralForm(request.POST if request.method == "POST" else None, operator=rows[0].operator_id)
    given = form.act(partial(give, request, form, rows)) if request.method == "POST" else None
    if given is not None:
        messages.success(request, f"{given} given to {form.cleaned_data['to']}.")
        return after_giving(request, rows)
    context = {"rows": rows, "form": form}
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "inspections/inspections_assign.html", context, status=status)


def after_giving(request: ScreenRequest, rows: Sequence[Inspection]) -> HttpResponse:
    """Go on to the one inspection that was given, in the panel where it was given there, or back to the list."""
    if len(rows) > 1:
        return redirect("inspection_list")
    return back_beside(request, rows[0].pk) or redirect("inspection_detail", rows[0].pk)


def give(request: ScreenRequest, form: AssignSeveralForm, rows: Sequence[Inspection]) -> str:
    """Give each inspection to the person of the sheet; return which, in words."""
    to = form.cleaned_data["to"]
    actions.inspections_assign(inspections=rows, to=to, by=request.user)
    numbers = ", ".join(str(row.number) for row in rows)
    return f"Inspection {numbers} is" if len(rows) == 1 else f"Inspections {numbers} are"


@screen("print")
def inspection_list_print(request: ScreenRequest) -> HttpResponse:
    """Print the inspections that the address asks for, or those chosen among them."""
    asked, press = inspections_asked(request), press_of(request)
    content = inspections_pdf(
        list(asked.rows),
        operator=request.user.operator,
        among=asked.among.count(),
        paper=press.paper,
        stamp=press.stamp,
    )
    return press.answer(content, f"inspections-{timezone.localdate()}.pdf")


@screen("read")
def inspection_table(request: ScreenRequest, form: str) -> HttpResponseBase:
    """Give the inspections that the address asks for as a file."""
    rows = inspections_asked(request).rows
    return table(request, form, "inspections", INSPECTION_COLUMNS, rows.iterator(ROWS_AT_ONCE))


@screen("read")
def entry_table(request: ScreenRequest, form: str) -> HttpResponseBase:
    """Give the entries that the address asks for as a file."""
    rows = EntryFilter(request.GET, queryset=entries_shown(request.user).order_by("-number"), request=request).qs
    return table(request, form, "entries", ENTRY_COLUMNS, rows.iterator(ROWS_AT_ONCE))


@screen("read")
def engine_table(request: ScreenRequest, form: str) -> HttpResponseBase:
    """Give the engines that the address asks for as a file."""
    rows = EngineFilter(request.GET, queryset=engines_asked(request), request=request).qs
    return table(request, form, "engines", ENGINE_COLUMNS, engine_lines(rows))


def table(
    request: ScreenRequest, form: str, name: str, columns: Sequence[Column], rows: Iterator[Any]
) -> HttpResponseBase:
    """Return rows as CSV, a line at a time, or as a workbook; 404 for any other form."""
    headers = {"Content-Disposition": f'attachment; filename="{name}-{timezone.localdate()}.{form}"'}
    if form == "csv":
        lines = csv_lines(columns, rows, bom=bool(request.GET.get("bom")))
        return StreamingHttpResponse(lines, content_type="text/csv; charset=utf-8", headers=headers)
    if form == "xlsx":
        return HttpResponse(xlsx_bytes(columns, rows, name.title()), content_type=XLSX_TYPE, headers=headers)
    raise Http404(f"There is no table of the form {form!r}.")

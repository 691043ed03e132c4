"""One inspection in a panel beside the list: why it was called for, its history, and what a desk does with it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import QuerySet
from django.http import HttpResponse, QueryDict
from django.http.response import HttpResponseRedirectBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.safestring import SafeString
from django.views.decorators.cache import never_cache

from engines.errors import TraceError
from engines.web import ScreenRequest, found, screen
from inspections import states
from inspections.drawing.curve_picture import curve_picture
from inspections.models import Inspection, Judgement
from inspections.queries import inspection_for, judgement_of
from inspections.verdict import Excursion
from logbook.forms.several import AssignSeveralForm
from logbook.forms.work import NoteForm
from logbook.models import Entry
from logbook.pictures import JudgedRun, curve_points, judged_run
from logbook.queries import entry_list
from logbook.verdict_words import said_of
from logbook.views.runs import drawn
from logbook.views.saved import query_kept

LIST = "inspection_list"
CURVE, TRACE = (400.0, 320.0), (400.0, 340.0)
MOST_SENTENCES = 3


@dataclass(frozen=True)
class Line:
    """One thing that happened to an inspection, and who did it."""

    at: datetime
    words: str
    by: str = ""


@never_cache
@screen("read")
def inspection_beside(request: ScreenRequest, pk: int) -> HttpResponse:
    """Give the panel to the list that asks for it; whoever opens this address gets the list with the panel."""
    inspection = found(inspection_for, request.user, pk)
    if not request.htmx:
        return redirect(address_beside(request.GET, pk))
    return render(request, "inspections/beside.html", beside_context(request, inspection))


def beside_context(request: ScreenRequest, inspection: Inspection) -> dict[str, Any]:
    """Return what the panel shows."""
    entries = list(entries_about(request, inspection))
    is_unsettled = inspection.state in states.UNSETTLED
    may_assign = is_unsettled and request.user.may("inspection.assign")
    given = {"to": inspection.assigned_to_id}
    return {
        "inspection": inspection,
        "entries": entries,
        "history": history_of(inspection, entries),
        "assign_form": AssignSeveralForm(operator=inspection.operator_id, initial=given) if may_assign else None,
        "note_form": NoteForm(prefix="note") if is_unsettled and request.user.may("inspection.note") else None,
        "close": list_query(request.GET),
        **verdict_shown(inspection),
    }


def entries_about(request: ScreenRequest, inspection: Inspection) -> QuerySet[Entry]:
    """Return the entries of the run that called for an inspection and of the inspection, in order."""
    return entry_list(request.user).filter(engine=inspection.engine_id, run=inspection.run_id).order_by("number")


def history_of(inspection: Inspection, entries: list[Entry]) -> list[Line]:
    """Return what happened to an inspection, oldest first."""
    lines = [Line(inspection.opened_at, f"Called for by {inspection.chart}, {inspection.rule}")]
    lines += [Line(row.recorded_at, f"Found: {row.text}", str(row.recorded_by)) for row in of(inspection, "findings")]
    lines += [Line(row.written_at, f"Note: {row.text}", str(row.written_by)) for row in of(inspection, "notes")]
    for row in inspection.handovers.select_related("told_to", "by", "taking__by"):
        lines.append(Line(row.at, f"Handed over to {row.told_to}", str(row.by)))
        if hasattr(row, "taking"):
            lines.append(Line(row.taking.at, "Taken", str(row.taking.by)))
    if inspection.second_at is not None:
        lines.append(Line(inspection.second_at, "Looked at a second time", str(inspection.second_by)))
    lines += [Line(row.signed_at, f"Entry {row.number} signed", str(row.signed_by)) for row in entries]
    return sorted(lines, key=lambda line: line.at)


def of(inspection: Inspection, rows: str) -> Any:
    """Return the findings or the notes of an inspection, each with who wrote it."""
    who = {"findings": "recorded_by", "notes": "written_by"}[rows]
    return getattr(inspection, rows).select_related(who)


def verdict_shown(inspection: Inspection) -> dict[str, Any]:
    """Return the sentences of the verdict that called for an inspection, and the picture that explains them."""
    judgement = judgement_of(inspection.run)
    run = judgement and judged_if_readable(judgement)
    if not run:
        return {"said": [], "picture": ""}
    chart = next((chart for chart in run.charts if chart.name == inspection.chart), None)
    excursions = sorted(run.of(chart), key=lambda e: e.area_possible is None) if chart else []
    said = [said_of(run, excursion) for excursion in excursions if excursion.area_possible is not None]
    return {"said": said[:MOST_SENTENCES], "more": len(said[MOST_SENTENCES:]), "picture": picture_of(run, excursions)}


def judged_if_readable(judgement: Judgement) -> JudgedRun | None:
    """Return a judgement with its trace; None where its file is gone or damaged."""
    try:
        return judged_run(judgement)
    except (OSError, TraceError):
        return None


def picture_of(run: JudgedRun, excursions: list[Excursion]) -> SafeString | str:
    """Return the duration curve over the areas of the first excursion that samples prove, else the run over time."""
    for excursion in excursions:
        chart = next(chart for chart in run.charts if chart.name == excursion.chart)
        trace = run.traced(chart)
        points = curve_points(trace, chart, excursion, run) if trace is not None else []
        if points:
            return drawn(curve_picture(points, chart, excursion, run.channel(chart), size=CURVE), "beside")
    return next((drawn(run.picture(chart, *TRACE), "beside") for chart in run.charts[:1]), "")


def list_query(asked: QueryDict) -> str:
    """Return the question of the list's address without the panel: its filters, its view and its page."""
    kept = asked.copy()
    for name in list(kept):
        if name not in ("view", "page"):
            kept.pop(name)
    parts = (query_kept(LIST, asked), kept.urlencode())
    return "&".join(part for part in parts if part)


def address_beside(asked: QueryDict, pk: int) -> str:
    """Return the address of the list with the panel of an inspection open beside it."""
    query = list_query(asked)
    return f"{reverse(LIST)}?{query}&beside={pk}" if query else f"{reverse(LIST)}?beside={pk}"


def back_beside(request: ScreenRequest, pk: int) -> HttpResponseRedirectBase | None:
    """Return the way back to the panel that a sheet was sent from; None where it came from another screen."""
    asked = request.POST.get("beside")
    return None if asked is None else redirect(address_beside(QueryDict(asked), pk))


def opened_in(request: ScreenRequest) -> int | None:
    """Return the key of the inspection that the list's address asks to open beside it."""
    asked = request.GET.get("beside", "")
    return int(asked) if asked.isdecimal() and len(asked) < 19 else None

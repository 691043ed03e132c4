"""The limits in force: their charts, their sources, what a changed revision would change, and who answers for them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.contrib import messages
from django.db.models import Prefetch
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from engines import actions
from engines.charts import LimitChart, Repeat
from engines.models import TypeRevision
from engines.queries import engine_type_for, engine_type_list, revision_for, revision_in_force
from engines.web import UNPROCESSABLE, ScreenRequest, found, recorded, screen, sent
from inspections.drawing.bands import Band, band_words, bands_of
from inspections.drawing.facts import READ_BY, beyond_word, limit_text
from inspections.drawing.words import count_text, quantity
from inspections.repeats import repeat_words
from inspections.replay import replay
from logbook.forms.limits import LimitsForm
from logbook.views.keying import keyings_shown


@dataclass(frozen=True)
class ChartLines:
    """A limit chart in words: what is allowed in each band of values, what each area calls for, what is counted."""

    chart: LimitChart
    label: str
    limit: str
    regimes: str
    read_by: str
    bands: list[tuple[str, str]]
    repeats: list[tuple[str, Repeat]]


@screen("read")
def limits_list(request: ScreenRequest) -> HttpResponse:
    """Show each engine type with the limits in force, and the drafts that wait for a second person."""
    today = timezone.localdate()
    revisions = Prefetch("revisions", TypeRevision.objects.defer("document").order_by("-number"))
    types = [
        {
            "engine_type": engine_type,
            "in_force": newest_in_force(engine_type.revisions.all(), today),
            "revisions": engine_type.revisions.all(),
        }
        for engine_type in engine_type_list(request.user).prefetch_related(revisions)
    ]
    return render(request, "engines/limits_list.html", {"types": types, "today": today})


def newest_in_force(revisions: Iterable[TypeRevision], on: date) -> TypeRevision | None:
    """Return the revision, of a type's from the newest down, that judges runs of a day: as the query does for one."""
    adopted = [revision for revision in revisions if revision.is_adopted]
    come = [row for row in adopted if row.in_force_from is None or row.in_force_from <= on]
    return next(iter(come or adopted[-1:]), None)


@screen("read")
def limits_detail(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show one revision's charts as tables, and on request what it would change across all runs."""
    revision = found(revision_for, request.user, pk)
    data = revision.data
    today = timezone.localdate()
    in_force = revision_in_force(revision.engine_type, today)
    keyings = [] if revision.is_adopted else keyings_shown(request, revision, data)
    is_own = revision.entered_by_id == request.user.pk
    context: dict[str, Any] = {
        "revision": revision,
        "charts": [chart_lines(chart, data.channel(chart.channel).label) for chart in data.charts],
        "tasks": data.tasks,
        "is_in_force": in_force.pk == revision.pk,
        "is_draft": not revision.is_adopted,
        "is_own": is_own,
        "in_force": in_force,
        "waits_days": waits_days(revision, today),
        "keyings": keyings,
        "hidden": {line.chart for line in keyings if line.is_hidden},
        "may_key": not is_own and request.user.may("limits.adopt"),
        "is_keyed": all(line.newest is not None and line.newest.agrees for line in keyings),
        "replay": replay(revision) if request.GET.get("replay") else None,
    }
    return render(request, "engines/limits_detail.html", context)


def waits_days(revision: TypeRevision, today: date) -> int:
    """Return for how many days an adopted revision waits for its day; 0 for one whose day has come, or a draft. [d]"""
    if not revision.is_adopted or revision.in_force_from is None:
        return 0
    return max(0, (revision.in_force_from - today).days)


@require_POST
@screen("limits.adopt")
def limits_adopt(request: ScreenRequest, pk: int) -> HttpResponse:
    """Adopt a revision that another person entered."""
    revision = actions.revision_adopt(revision=found(revision_for, request.user, pk), by=request.user)
    waits = waits_days(revision, timezone.localdate())
    until = f" Until then, in {count_text(waits, 'day')}, the revision before it judges." if waits else ""
    said = f"Revision {revision.number} is adopted; it judges runs from {revision.in_force_from}.{until}"
    messages.success(request, said)
    return redirect("limits_detail", revision.pk)


@screen("limits.enter")
def limits_enter(request: ScreenRequest, pk: int) -> HttpResponse:
    """Enter a changed document as a draft."""
    engine_type = found(engine_type_for, request.user, pk)
    form = LimitsForm(*sent(request))

    def enter() -> TypeRevision:
        data = form.cleaned_data
        names = ("document", "source", "in_force_from")
        return actions.revision_enter(engine_type=engine_type, by=request.user, **{name: data[name] for name in names})

    revision = form.act(enter) if request.method == "POST" else None
    if revision is not None:
        recorded(request, "The revision is entered. It judges nothing until a second person has checked it.")
        return redirect("limits_detail", revision.pk)
    context = {"engine_type": engine_type, "form": form}
    return render(request, "engines/limits_enter.html", context, status=UNPROCESSABLE if form.errors else 200)


def chart_lines(chart: LimitChart, label: str) -> ChartLines:
    """Return a limit chart in words."""
    beyond = beyond_word(chart)
    return ChartLines(
        chart=chart,
        label=label or chart.channel,
        limit=f"{limit_text(chart)}, not {beyond}",
        regimes="the whole run" if chart.regimes is None else ", ".join(chart.regimes),
        read_by=READ_BY[chart.method].format(beyond=beyond),
        bands=[(span_words(chart, band), band_words(band, chart) or "nothing called for") for band in bands_of(chart)],
        repeats=[(repeat_words(chart, rule), rule) for rule in chart.repeats],
    )


def span_words(chart: LimitChart, band: Band) -> str:
    """Return a band of values in words, for example "above 700 °C, to 720 °C"."""
    words = f"{beyond_word(chart)} {quantity(band.near, chart.unit)}"
    return words if band.far is None else f"{words}, to {quantity(band.far, chart.unit)}"

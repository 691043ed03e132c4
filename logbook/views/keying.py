"""The second keying of a draft's changed charts, blind, by another person than who entered them."""

from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from engines.charts import EngineTypeData, LimitChart
from engines.keying import charts_to_key
from engines.models import KeyedChart, TypeRevision
from engines.queries import adopted_before, keyings_of, revision_for
from engines.web import UNPROCESSABLE, ScreenRequest, found, recorded, screen, sent
from logbook.actions import limits_key as key_in
from logbook.concerns import keying_words
from logbook.forms.keying import KeyingForm


@dataclass(frozen=True)
class ChartKeying:
    """How the second keying of one changed chart stands; ``is_hidden`` while the person who looks may yet key it."""

    place: int
    chart: str
    newest: KeyedChart | None
    lines: list[str]
    is_hidden: bool


def keyings_shown(request: ScreenRequest, revision: TypeRevision, data: EngineTypeData) -> list[ChartKeying]:
    """Return how the second keying of each changed chart of a draft stands, for the person who looks."""
    rows = list(revision.keyed_charts.select_related("keyed_by"))
    newest = {row.chart: row for row in rows}
    own = {row.chart for row in rows if row.keyed_by_id == request.user.pk}
    may_key = request.user.may("limits.adopt") and revision.entered_by_id != request.user.pk
    return [
        ChartKeying(
            place=place,
            chart=chart.name,
            newest=newest.get(chart.name),
            lines=keying_words(newest[chart.name]) if chart.name in newest else [],
            is_hidden=may_key and chart.name not in own,
        )
        for place, chart in enumerate(charts_to_key(adopted_before(revision).data, data), start=1)
    ]


@screen("limits.adopt")
def limits_key(request: ScreenRequest, pk: int, place: int) -> HttpResponse:
    """Take the figures of one changed chart from a second person, who sees only what each figure is called."""
    revision = found(revision_for, request.user, pk)
    chart = changed_chart(revision, place)
    before = keyings_of(revision).get(chart.name)
    again = before is not None and not before.agrees
    form = KeyingForm(sent(request)[0], chart=chart, keyed_again=again)
    row = form.act(lambda: key(request, revision, chart, form)) if request.method == "POST" else None
    if row is not None:
        said = "It agrees with the draft." if row.agrees else "It differs from the draft; look both up in the source."
        recorded(request, f"{chart.name} is keyed. {said}")
        return redirect("limits_detail", revision.pk)
    label = revision.data.channel(chart.channel).label or chart.channel
    is_own = revision.entered_by_id == request.user.pk
    context: dict[str, Any] = {"revision": revision, "chart": chart, "form": form, "label": label, "is_own": is_own}
    return render(request, "engines/limits_key.html", context, status=UNPROCESSABLE if form.errors else 200)


def changed_chart(revision: TypeRevision, place: int) -> LimitChart:
    """Return a changed chart of a draft by its place; 404 where there is none, as in a revision that is adopted."""
    changed = () if revision.is_adopted else charts_to_key(adopted_before(revision).data, revision.data)
    if not 1 <= place <= len(changed):
        raise Http404("This revision has no such chart to key.")
    return changed[place - 1]


def key(request: ScreenRequest, revision: TypeRevision, chart: LimitChart, form: KeyingForm) -> KeyedChart:
    """Keep what a sheet says."""
    return key_in(
        revision=revision,
        chart=chart.name,
        figures=form.keyed,
        has_other_lines=form.cleaned_data["has_other_lines"],
        settled_against=form.cleaned_data["settled_against"],
        by=request.user,
    )

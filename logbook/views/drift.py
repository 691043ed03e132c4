"""How an engine's starts drift, on screen and on paper: every watched figure in a table, one of them in charts."""

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from engines.models import Engine
from engines.queries import engine_for, revision_in_force
from engines.start_rules import StartRules
from engines.web import ScreenRequest, found, screen
from inspections.drawing.control_picture import (
    ControlScene,
    control_picture,
    control_summary,
    cusum_scene,
    ewma_scene,
)
from logbook.drift import Series, rule_words, series_of
from logbook.printing.drift import drift_pdf
from logbook.shown_units import scales_for
from logbook.start_page import starts_shown_words
from logbook.views.prints import press_of
from logbook.views.runs import drawn

NARROW, WIDE, PRINTED = (360.0, 320.0), (900.0, 380.0), (480.0, 240.0)


def scenes_of(series: Series) -> list[ControlScene]:
    """Return both charts of a figure; none where too few starts are kept."""
    if series.drift is None:
        return []
    return [
        ewma_scene(series.label, series.unit, series.values, series.drift),
        cusum_scene(series.label, series.unit, series.drift),
    ]


def series_for(
    request: ScreenRequest, pk: int, *, as_recorded: bool = False
) -> tuple[Engine, list[Series], StartRules, list[str]]:
    """Return an engine with its watched figures, the rules of its type, and what is shown otherwise than recorded.

    Figures are in the units that the person chose to see, or as recorded.
    """
    engine, today = found(engine_for, request.user, pk), timezone.localdate()
    data = revision_in_force(engine.engine_type, today).data
    scales = {} if as_recorded else scales_for(request.user, engine, data, today)
    return engine, series_of(engine, data, None, scales), data.starts or StartRules(), starts_shown_words(data, scales)


def chosen_of(request: ScreenRequest, watched: list[Series]) -> Series | None:
    """Return the figure that the address asks for; the first that drifts, or the first of all, where it asks none."""
    asked = request.GET.get("figure")
    if asked:
        known = next((series for series in watched if series.key == asked), None)
        if known is None:
            raise Http404(f"“{asked}” is not a figure that is watched.")
        return known
    charted = [series for series in watched if series.drift is not None]
    drifting = (series for series in charted if series.drift is not None and series.drift.is_signalled)
    return next(drifting, next(iter(charted), None))


@screen("read")
def start_drift(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show how an engine's starts drift."""
    engine, watched, rules, shown = series_for(request, pk)
    chosen = chosen_of(request, watched)
    scenes = scenes_of(chosen) if chosen else []
    context: dict[str, Any] = {
        "engine": engine,
        "watched": watched,
        "chosen": chosen,
        "shown": shown,
        "rule": rule_words(rules.drift),
        "drawings": [
            {
                "name": scene.title,
                "summary": control_summary(scene),
                "narrow": drawn(control_picture(scene, width=NARROW[0], height=NARROW[1]), f"drift{k}n"),
                "wide": drawn(control_picture(scene, width=WIDE[0], height=WIDE[1]), f"drift{k}w"),
            }
            for k, scene in enumerate(scenes)
        ],
    }
    return render(request, "engines/start_drift.html", context)


@screen("print")
def drift_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print how an engine's starts drift: every watched figure, with the charts of those that drift."""
    engine, watched, rules, _ = series_for(request, pk, as_recorded=True)
    press = press_of(request)
    shown = [series for series in watched if series.drift is not None and series.drift.is_signalled]
    pictures = [
        (control_picture(scene, width=PRINTED[0], height=PRINTED[1]), control_summary(scene))
        for series in shown
        for scene in scenes_of(series)
    ]
    content = drift_pdf(engine, watched, pictures, rule=rules.drift, paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"drift-{engine.serial}.pdf")

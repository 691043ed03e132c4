"""Power and condition of an engine: checks against the chart, settings of cruise power, fuel used, and the trend."""

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from engines import actions
from engines.actions.power import rules_needed
from engines.models import Engine, Run
from engines.power_queries import RunPower, rules_of, run_power_of
from engines.queries import engine_for, revision_in_force, run_for
from engines.units import convert
from engines.web import PAGE_ROWS, UNPROCESSABLE, ScreenRequest, found, recorded, screen
from inspections.drawing.trend_picture import days_words, trend_facts, trend_picture, trend_summary
from logbook.condition import (
    card_lines,
    condition_of_engine,
    happenings_of,
    scales_of_condition,
    scenes_of,
)
from logbook.engine_papers.condition import settings_sheet, trend_sheet
from logbook.engine_papers.power import checks_sheet, fuel_unit, run_power_sheet
from logbook.forms.power import READ, FuelForm, PowerCheckForm
from logbook.printing.engine_sheet import engine_sheet_pdf
from logbook.views.prints import press_of
from logbook.views.runs import drawn

DO = "run.record"
SHEETS = {"settings": settings_sheet, "trend": trend_sheet, "power": checks_sheet}
NARROW, WIDE = (360.0, 320.0), (900.0, 360.0)


@screen("read")
def engine_power(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show an engine's power checks against the type's chart, and its card of cruise settings."""
    engine = found(engine_for, request.user, pk)
    condition = condition_of_engine(engine)
    page = Paginator(condition.newest_first, PAGE_ROWS).get_page(request.GET.get("page"))
    context = {
        "engine": engine,
        "condition": condition,
        "page": page,
        "card": card_lines(engine, condition.data) if condition.data else [],
    }
    return render(request, "engines/engine_power.html", context)


@screen(DO)
def power_check_add(request: ScreenRequest, pk: int) -> HttpResponse:
    """Record a power check; one taken from a run's trace comes with what the trace shows in the boxes."""
    engine = found(engine_for, request.user, pk)
    if request.method == "GET" and rules_of(engine) is None:
        return render(request, "engines/power_check_add.html", {"engine": engine})
    data = rules_needed(engine)
    run, initial = of_a_run(request, engine)
    form = PowerCheckForm(request.POST if request.method == "POST" else None, data_of=data, initial=initial)
    if request.method == "POST":
        by = request.user
        made = form.act(lambda: actions.power_check_add(engine=engine, facts=form.facts(), by=by, run=run))
        if made is not None:
            recorded(request, "The power check is kept.")
            return redirect("engine_power", engine.pk)
    context = {"engine": engine, "form": form, "run": run}
    return render(request, "engines/power_check_add.html", context, status=UNPROCESSABLE if form.errors else 200)


def of_a_run(request: ScreenRequest, engine: Engine) -> tuple[Run | None, dict[str, Any]]:
    """Return the run that the address names, with what its trace shows of the setting; none where it names none."""
    asked, place = request.GET.get("run", ""), request.GET.get("setting", "")
    if not asked:
        return None, {}
    try:
        run = found(run_for, request.user, UUID(asked))
        setting = power_of(run)[0].settings[int(place) - 1]
    except (ValueError, IndexError, Http404) as error:
        raise Http404("This run has no such setting.") from error
    if run.engine_id != engine.pk:
        raise Http404("It is a run of another engine.")
    data = rules_needed(engine)
    rules = data.power
    names = {name: getattr(rules, name) for name in READ[2:]}
    shown = {name: f"{setting.means[channel]:.1f}" for name, channel in names.items() if channel in setting.means}
    for name, unit in (("air_c", "degC"), ("altitude_ft", "ft")):
        channel = getattr(rules, {"air_c": "air_temperature", "altitude_ft": "altitude"}[name])
        if channel in setting.means:
            shown[name] = f"{convert(setting.means[channel], data.channel(channel).unit, unit):.0f}"
    at = run.started_at + timedelta(seconds=setting.start_s)
    return run, shown | {"at": timezone.localtime(at)}


def power_of(run: Run) -> tuple[RunPower, Any]:
    """Return what a run's trace shows of power, and the type of that day."""
    data = revision_in_force(run.engine.engine_type, run.started_at.date()).data
    return run_power_of(run, data), data


@screen("read", DO)
def run_power(request: ScreenRequest, pk: object) -> HttpResponse:
    """Show a run's steady settings, how cruise power was set, and the fuel it used; keep figures of the fuel."""
    run = found(run_for, request.user, pk)
    power, data = power_of(run)
    unit = fuel_unit(data)
    form = FuelForm(request.POST if request.method == "POST" else None, unit=unit)
    if request.method == "POST":
        made = form.act(lambda: actions.fuel_add(run=run, by=request.user, **fuel_facts(form)))
        if made is not None:
            recorded(request, "The figures of the fuel are kept.")
            return redirect("run_power", run.pk)
    context = {
        "run": run,
        "power": power,
        "rules": data.power,
        "settings": setting_rows(power, data),
        "unit": unit,
        "form": form,
        "kept": getattr(run, "cruise_setting", None),
    }
    return render(request, "engines/run_power.html", context, status=UNPROCESSABLE if form.errors else 200)


def fuel_facts(form: FuelForm) -> dict[str, Any]:
    """Return what the sheet of fuel says."""
    amounts = {name: form.cleaned_data[name] for name in ("totaliser", "uplift")}
    given = {name: None if amount is None else float(amount) for name, amount in amounts.items()}
    return {**given, "remarks": form.cleaned_data["remarks"]}


def setting_rows(power: RunPower, data: Any) -> list[dict[str, Any]]:
    """Return the steady settings of a run as the table has them, with what each was in setting cruise power."""
    cruise, rules = power.cruise, data.power
    words = {} if cruise is None else {cruise.full.start_s: "full power", cruise.reduced.start_s: "reduced to"}
    words |= {} if cruise is None else {cruise.cruise.start_s: "propeller brought back"}
    names = ("torque", "propeller", "temperature", "fuel_flow")
    return [
        {
            "setting": setting,
            "word": words.get(setting.start_s, ""),
            "values": [
                (channel.label, setting.means.get(channel.name), channel.unit)
                for channel in (data.channel(getattr(rules, name)) for name in names)
            ],
        }
        for setting in power.settings
    ]


@require_POST
@screen(DO)
def setting_keep(request: ScreenRequest, pk: object) -> HttpResponse:
    """Keep on the engine's card how cruise power was set in a flight."""
    run = found(run_for, request.user, pk)
    actions.setting_keep(run=run, by=request.user)
    messages.success(request, "The setting is on the engine's card.")
    return redirect("engine_power", run.engine_id)


@screen("read")
def engine_trend(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show how an engine's margins go, what is foretold of them, and what went beyond limits meanwhile."""
    engine = found(engine_for, request.user, pk)
    condition, happenings = condition_of_engine(engine), happenings_of(engine)
    scenes = scenes_of(condition, happenings, scales_of_condition(request.user, condition))
    shown = [
        {
            "scene": scene,
            "summary": trend_summary(scene),
            "days": days_words(scene.trend),
            "facts": trend_facts(scene),
            "narrow": drawn(trend_picture(scene, width=NARROW[0], height=NARROW[1]), f"trend{k}n"),
            "wide": drawn(trend_picture(scene, width=WIDE[0], height=WIDE[1]), f"trend{k}w"),
        }
        for k, scene in enumerate(scenes)
    ]
    context = {"engine": engine, "condition": condition, "shown": shown, "happenings": happenings}
    return render(request, "engines/engine_trend.html", context)


@screen("print")
def power_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print an engine's power checks."""
    return printed(request, pk, "power")


@screen("print")
def run_power_print(request: ScreenRequest, pk: object) -> HttpResponse:
    """Print what a run shows of power, and its fuel against totaliser and uplift."""
    run, press = found(run_for, request.user, pk), press_of(request)
    content = engine_sheet_pdf(run_power_sheet(run), paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"power-{run.engine.serial}-{timezone.localtime(run.started_at):%Y-%m-%d}.pdf")


@screen("print")
def settings_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print an engine's card of cruise settings."""
    return printed(request, pk, "settings")


@screen("print")
def trend_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print how an engine's margins go."""
    return printed(request, pk, "trend")


def printed(request: ScreenRequest, pk: int, name: str) -> HttpResponse:
    """Print one document about an engine's power."""
    engine, press = found(engine_for, request.user, pk), press_of(request)
    sheet = SHEETS[name](request.user, engine, press.stamp)
    content = engine_sheet_pdf(sheet, paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"{name}-{engine.serial}-{timezone.localdate()}.pdf")

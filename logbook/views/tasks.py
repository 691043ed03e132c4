"""Recording what was done of a task, extending it as its source grants, and adding one to an engine."""

from functools import partial
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from engines.actions import task_add as add
from engines.models import Component, Engine, Task
from engines.part_queries import component_for, components_on
from engines.standing import Standing, part_tasks_of, standings_of
from engines.web import UNPROCESSABLE, ScreenRequest, found, recorded, screen, sent
from logbook.forms.due import ExtendForm, TaskAddForm, TaskDoneForm
from logbook.models import Entry
from logbook.part_acts import CONFIRMS, engine_of
from logbook.task_acts import task_extend_sign, task_sign
from logbook.views.due import engine_kept
from logbook.views.signing import read_and_sign


def standing_kept(request: ScreenRequest, pk: int, key: str) -> Standing:
    """Return how a task of an engine stands; 404 where the engine has no such task, or is not theirs to see."""
    engine = found(engine_kept, request.user, pk)
    for standing in standings_of([engine])[engine.pk]:
        if standing.key == key:
            return standing
    raise Http404(f"Engine {engine.serial} has no such task.")


@screen("read", "task.record")
def task_detail(request: ScreenRequest, pk: int, key: str) -> HttpResponse:
    """Show a task with everything that was recorded of it, and record and sign that it was done."""
    return task_shown(request, standing_kept(request, pk, key))


@screen("read", "task.record")
def part_task(request: ScreenRequest, pk: int, key: str) -> HttpResponse:
    """Show a task of a part, on its engine or off it, and record and sign that it was done."""
    return task_shown(request, part_standing(request, pk, key))


def part_standing(request: ScreenRequest, pk: int, key: str) -> Standing:
    """Return how a task of a part stands, on its engine or off it; 404 where it has none, or is not theirs to see."""
    part = found(component_for, request.user, pk)
    if engine := engine_of(part):
        return standing_kept(request, engine.pk, key)
    for standing in part_tasks_of(Component.objects.filter(pk=part.pk)):
        if standing.key == key:
            return standing
    raise Http404(f"{part} has no such task.")


def task_shown(request: ScreenRequest, standing: Standing) -> HttpResponse:
    """Show a task, the text that is to be signed of it, or that it was signed."""

    def sign(form: Any) -> Entry:
        read = form.cleaned_data.get("read", "")
        return task_sign(
            standing=standing, said=form.said(), by=request.user, signing=form.signing(CONFIRMS), read=read
        )

    context = {
        "engine": standing.engine,
        "standing": standing,
        "may_extend": standing.task.extension and not (standing.last and standing.last.is_extended),
        "lines": standing.lines.select_related("signed__entry", "replaced_by__signed__entry"),
    }
    sheet = partial(TaskDoneForm, standing=standing)
    return read_and_sign(request, sheet, sign, template="engines/task_detail.html", context=context)


@screen("task.add")
def task_extend(request: ScreenRequest, pk: int, key: str) -> HttpResponse:
    """Extend a task of an engine once, by what its source grants, and sign that."""
    return extension_shown(request, standing_kept(request, pk, key))


@screen("task.add")
def part_task_extend(request: ScreenRequest, pk: int, key: str) -> HttpResponse:
    """Extend a task of a part once, on its engine or off it, and sign that."""
    return extension_shown(request, part_standing(request, pk, key))


def extension_shown(request: ScreenRequest, standing: Standing) -> HttpResponse:
    """Ask why a task is extended, show the text that is to be signed of it, or that it was signed."""

    def sign(form: Any) -> Entry:
        data = form.cleaned_data
        return task_extend_sign(
            standing=standing,
            reason=data["reason"],
            by=request.user,
            signing=form.signing(CONFIRMS),
            read=data.get("read", ""),
        )

    context = {"engine": standing.engine, "standing": standing}
    return read_and_sign(request, ExtendForm, sign, template="engines/task_extend.html", context=context)


@screen("task.add")
def task_add(request: ScreenRequest, pk: int) -> HttpResponse:
    """Add a directive, a bulletin or another task to an engine, or a revised one in the place of another."""
    engine = found(engine_kept, request.user, pk)
    replaces = replaced(engine, request.GET.get("replaces", ""))
    form = TaskAddForm(*sent(request), parts=components_on(engine))
    if request.method == "POST":
        task = form.act(lambda: added(request, engine, form, replaces))
        if task is not None:
            recorded(request, f"{task.data.title} is added.")
            return redirect("engine_due", engine.pk)
    context = {"engine": engine, "form": form, "replaces": replaces}
    return render(request, "engines/task_add.html", context, status=UNPROCESSABLE if form.errors else 200)


def added(request: ScreenRequest, engine: Engine, form: TaskAddForm, replaces: Task | None) -> Task:
    """Add the task of a sheet."""
    day = form.cleaned_data["begins_on"]
    component = replaces.component if replaces else form.cleaned_data["part"]
    return add(
        engine=engine,
        document=form.document(),
        begins_on=day,
        by=request.user,
        component=component,
        replaces=replaces,
    )


def replaced(engine: Engine, key: str) -> Task | None:
    """Return the engine's own task that an address names as the one to be replaced; 404 where there is none."""
    if not key:
        return None
    for standing in standings_of([engine])[engine.pk]:
        if standing.own is not None and standing.key == key:
            return standing.own
    raise Http404(f"Engine {engine.serial} has no task {key} that could be replaced.")

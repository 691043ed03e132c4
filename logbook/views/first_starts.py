"""First-start plans: those of an engine, one of them step by step, its signature and its print."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from engines.actions import plan_open
from engines.models import Engine, FirstStart
from engines.queries import engine_for, revision_in_force
from engines.web import UNPROCESSABLE, ScreenRequest, found, page_of, recorded, screen, sent
from logbook.first_start_state import stood_before
from logbook.first_start_words import motoring_rows, plan_lines, plan_rows, steps_shown
from logbook.first_starts import first_start_sign as sign_end
from logbook.first_starts import plan_for, plan_list, step_enter
from logbook.forms.first_starts import FirstStartOpenForm, FirstStartSignForm, StepForm
from logbook.models import Entry
from logbook.part_acts import CONFIRMS
from logbook.printing.first_starts import first_start_pdf
from logbook.starter import rest_words
from logbook.views.prints import press_of
from logbook.views.signing import read_and_sign


@screen("read", "first_start.open")
def first_start_list(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show the first-start plans of an engine, and open one by hand."""
    engine = found(engine_for, request.user, pk)
    revision = revision_in_force(engine.engine_type, timezone.localdate())
    rules = revision.data.first_start
    form = None if rules is None else FirstStartOpenForm(*sent(request), rules=rules)
    if form is not None and request.method == "POST":
        plan = form.act(lambda: opened(engine, form, request))
        if plan is not None:
            messages.success(request, f"{plan} is asked for.")
            return redirect("first_start_detail", plan.pk)
    plans = plan_list(request.user).filter(engine=engine)
    context = {
        "engine": engine,
        "rules": rules,
        "revision": revision,
        "form": form,
        "page": page_of(request, plans),
        "stood": "" if plans.filter(end=None).exists() else stood_before(engine, timezone.now()),
    }
    wrong = form is not None and form.errors
    return render(request, "engines/first_start_list.html", context, status=UNPROCESSABLE if wrong else 200)


def opened(engine: Engine, form: FirstStartOpenForm, request: ScreenRequest) -> FirstStart:
    """Open the plan of a sheet."""
    reason = form.cleaned_data["reason"]
    return plan_open(engine=engine, trigger=form.trigger_chosen(), reason=reason, by=request.user)


@screen("read", "run.record")
def first_start_detail(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show a plan step by step with all that was recorded of it, and record how the step in turn ended."""
    plan = found(plan_for, request.user, pk)
    rule = plan.progress.step if plan.is_open and request.user.may("run.record") else None
    form = None if rule is None else StepForm(*sent(request), plan=plan, rule=rule)
    if form is not None and request.method == "POST":
        line = form.act(lambda: step_enter(plan=plan, said=form.said(), by=request.user))
        if line is not None:
            recorded(request, f"{line} is recorded.")
            return redirect("first_start_detail", plan.pk)
    context = {
        "plan": plan,
        "engine": plan.engine,
        "progress": plan.progress,
        "steps": steps_shown(plan),
        "rows": plan_rows(plan, getattr(plan, "end", None)),
        "lines": list(zip(plan.lines.all(), plan_lines(plan), strict=True)),
        "motoring": motoring_rows(plan),
        "rest": rest_words(plan.engine, plan.revision.data, timezone.now()) if plan.is_open else "",
        "form": form,
        "rule": rule,
    }
    wrong = form is not None and form.errors
    return render(request, "engines/first_start_detail.html", context, status=UNPROCESSABLE if wrong else 200)


@screen("work.do")
def first_start_sign(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show the text by which a plan ends, and sign it."""
    plan = found(plan_for, request.user, pk)

    def sign(form: Any) -> Entry:
        data = form.cleaned_data
        said = {name: data[name] for name in ("outcome", "on", "remarks")}
        return sign_end(plan=plan, by=request.user, signing=form.signing(CONFIRMS), read=data.get("read", ""), **said)

    context = {"plan": plan, "engine": plan.engine, "progress": plan.progress}
    return read_and_sign(request, FirstStartSignForm, sign, template="engines/first_start_sign.html", context=context)


@screen("print")
def first_start_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print a plan with all that was recorded of it."""
    plan = found(plan_for, request.user, pk)
    press = press_of(request)
    content = first_start_pdf(plan, paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"first-start-{plan.engine.serial}-{plan.opened_at:%Y-%m-%d}.pdf")

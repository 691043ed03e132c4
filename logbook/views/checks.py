"""Checks before a start: answered by an observer, shown, and printed."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from engines.queries import engine_for, revision_in_force
from engines.start_scales import also_said
from engines.web import UNPROCESSABLE, ScreenRequest, found, page_of, screen, sent
from logbook.forms.checks import CheckSheet
from logbook.printing.checks import checks_pdf
from logbook.shown_units import temperature_for
from logbook.start_checks import check_enter, check_for, check_list
from logbook.starter import rest_words
from logbook.views.prints import press_of


@screen("read", "run.record")
def check_add(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show the checks before a start of an engine's type, cautions first, with earlier ones; and keep the answers."""
    engine = found(engine_for, request.user, pk)
    revision = revision_in_force(engine.engine_type, timezone.localdate())
    listed, unit = revision.data.checks, temperature_for(request.user)
    form = None if listed is None else CheckSheet(*sent(request), listed=listed, unit=unit)
    if form is not None and request.method == "POST":
        check = form.act(
            lambda: check_enter(
                engine=engine,
                revision=revision,
                answers=form.answers(),
                reasons=form.reasons(),
                by=request.user,
                remarks=form.cleaned_data["remarks"],
                unit=form.unit,
            )
        )
        if check is not None:
            messages.success(request, f"{check} are kept.")
            return redirect("check_detail", check.pk)
    context = {
        "engine": engine,
        "form": form,
        "listed": listed,
        "revision": revision,
        "rest": rest_words(engine, revision.data, timezone.now()),
        "page": page_of(request, check_list(request.user).filter(engine=engine)),
    }
    wrong = form is not None and form.errors
    return render(request, "engines/check_add.html", context, status=UNPROCESSABLE if wrong else 200)


@screen("read")
def check_detail(request: ScreenRequest, pk: object) -> HttpResponse:
    """Show the checks before one start as they were answered."""
    check = found(check_for, request.user, pk)
    to = temperature_for(request.user)
    answers = [answer | {"also": also_said(answer["value"], answer["unit"], to)} for answer in check.answers]
    return render(request, "engines/check_detail.html", {"check": check, "engine": check.engine, "answers": answers})


@screen("print")
def check_print(request: ScreenRequest, pk: object) -> HttpResponse:
    """Print the checks before one start."""
    check = found(check_for, request.user, pk)
    press = press_of(request)
    content = checks_pdf(check, paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"checks-{check.engine.serial}-{check.at:%Y-%m-%d}.pdf")

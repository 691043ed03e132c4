"""The second look at work: accepted or not, what was done again, and which work takes one."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from engines.web import UNPROCESSABLE, ScreenRequest, found, page_of, screen, sent
from logbook.forms.fields import Sheet
from logbook.forms.maintenance import RefuseForm, RequiredForm, ReworkForm
from logbook.maintenance import looks
from logbook.maintenance.queries import work_for
from logbook.maintenance.rows import Work

KEEP = "rules.keep"


def second_look_shown(request: ScreenRequest, work: Work) -> dict[str, Any]:
    """Return what the screen of work shows of the second look, and what the person may do about it."""
    lines, is_required = looks.looks_of(work), looks.is_required(work)
    if work.state != Work.State.OPEN:
        return {"looks": lines, "is_required": is_required}
    may_look = is_required and request.user.may("inspection.second")
    may_rework = looks.is_refused(lines) and request.user.may("work.do")
    return {
        "looks": lines,
        "is_required": is_required,
        "item": looks.item_of(work) if is_required else None,
        "may_look": may_look,
        "refuse": RefuseForm() if may_look else None,
        "rework": ReworkForm() if may_rework else None,
    }


@require_POST
@screen("inspection.second")
def work_second(request: ScreenRequest, pk: int) -> HttpResponse:
    """Record the second look at a required inspection item: it is accepted."""
    looks.work_second(work=found(work_for, request.user, pk), by=request.user)
    messages.success(request, "The second look is recorded.")
    return redirect("work_detail", pk)


@require_POST
@screen("inspection.second")
def work_refuse(request: ScreenRequest, pk: int) -> HttpResponse:
    """Record that the second look is not accepted, and why."""
    work, form = found(work_for, request.user, pk), RefuseForm(request.POST)
    if form.act(lambda: looks.work_refuse(work=work, why=form.cleaned_data["why"], by=request.user)) is not None:
        messages.success(request, "You did not accept it; it can't be signed until it is done again.")
    _say(request, form)
    return redirect("work_detail", pk)


@require_POST
@screen("work.do")
def work_rework(request: ScreenRequest, pk: int) -> HttpResponse:
    """Record what was done again after the second look was not accepted."""
    work, form = found(work_for, request.user, pk), ReworkForm(request.POST)
    if form.act(lambda: looks.work_rework(work=work, words=form.cleaned_data["words"], by=request.user)) is not None:
        messages.success(request, "It is recorded. Now it is looked at again.")
    _say(request, form)
    return redirect("work_detail", pk)


def _say(request: ScreenRequest, form: Sheet) -> None:
    for errors in form.errors.values():
        for error in errors:
            messages.error(request, str(error))


@screen("read", KEEP)
def required_list(request: ScreenRequest) -> HttpResponse:
    """Show which work is a required inspection item, and let the director put work on the list or take it off."""
    form = RequiredForm(sent(request)[0])
    if request.method == "POST":
        is_required = request.POST.get("what") != "off"
        row = form.act(lambda: looks.required_set(**form.cleaned_data, by=request.user, is_required=is_required))
        if row is not None:
            messages.success(request, f"{row}: {'put on the list' if is_required else 'taken off the list'}.")
            return redirect("required_list")
    page = page_of(request, looks.required_list(request.user.operator_id))
    context = {"page": page, "form": form if request.user.may(KEEP) else None}
    return render(request, "logbook/required_list.html", context, status=UNPROCESSABLE if form.errors else 200)

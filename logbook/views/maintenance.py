"""Work beside exceedances: written down, looked at by a second person, signed; and the discrepancies of engines."""

from django.contrib import messages
from django.db.models import Q
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from engines.models import Engine
from engines.queries import engine_for
from engines.web import UNPROCESSABLE, ScreenRequest, found, page_of, screen, sent
from logbook.forms import maintenance as sheets
from logbook.forms.signing import SigningSheet
from logbook.forms.written import Written, written
from logbook.maintenance import actions
from logbook.maintenance.publications import on_file_of, revision_warning
from logbook.maintenance.queries import days_worked, overdue_on, work_for
from logbook.maintenance.queries import discrepancy_list as discrepancies_of
from logbook.maintenance.queries import work_list as work_of
from logbook.maintenance.rows import DiscrepancyLine, Work
from logbook.maintenance.rules import rules_of
from logbook.maintenance.sections import sections_of
from logbook.models import Entry
from logbook.photos.shown import work_photos
from logbook.statements.coverage import experience_warning
from logbook.statements.elements import US, US_PROGRAMME
from logbook.statements.record_age import record_words
from logbook.views.looks import second_look_shown
from logbook.views.signing import read_and_sign

DO = "work.do"


@screen("read")
def work_list(request: ScreenRequest) -> HttpResponse:
    """Show the work that is not signed, or all of it where the address asks."""
    rows = work_of(request.user).order_by("-number")
    shows_all = request.GET.get("state") == "all"
    page = page_of(request, rows if shows_all else rows.filter(state=Work.State.OPEN))
    clocks = [(work, clock_of(work)) for work in page.object_list]
    context = {"page": page, "clocks": clocks, "shows_all": shows_all, "kept": rows.count()}
    return render(request, "logbook/work_list.html", context)


def clock_of(work: Work) -> str:
    """Return by when the release of completed work has to be in the record, "" where no such clock runs."""
    if work.state != Work.State.OPEN or work.kind not in actions.CERTIFIED:
        return ""
    return record_words(work.day("completed_on"), getattr(work, "ruleset_now", ""), timezone.localdate())


@screen(DO)
def work_add(request: ScreenRequest, pk: int, kind: str) -> HttpResponse:
    """Begin work on an engine."""
    engine = found(engine_for, request.user, pk)
    if kind not in Work.Kind.values:
        raise Http404(f"There is no kind of work {kind!r}.")
    work = Work(engine=engine, operator_id=engine.operator_id, kind=kind)
    boxes = written(sent(request)[0], work)
    if request.method == "POST" and boxes.is_valid():
        made = actions.work_open(engine=engine, kind=kind, facts=boxes.facts(), by=request.user)
        messages.success(request, f"{made} is kept. It is no entry until it is signed.")
        return redirect("work_detail", made.pk)
    return sheet_shown(request, work, boxes, "logbook/work_add.html")


@screen(DO)
def work_change(request: ScreenRequest, pk: int) -> HttpResponse:
    """Go on writing."""
    work = found(work_for, request.user, pk)
    boxes = written(sent(request)[0], work)
    if request.method == "POST" and boxes.is_valid():
        kept = boxes.form.act(lambda: actions.work_change(work=work, facts=boxes.facts(), by=request.user))
        if kept is not None:
            messages.success(request, "It is kept as it is written now.")
            return redirect("work_detail", work.pk)
    return sheet_shown(request, work, boxes, "logbook/work_change.html")


def sheet_shown(request: ScreenRequest, work: Work, boxes: Written, template: str) -> HttpResponse:
    """Show the boxes of work, with what can't be read in them."""
    refused = request.method == "POST"
    context = {"work": work, "engine": work.engine, "form": boxes.form, "lines": boxes.lines, "again": boxes.again}
    return render(request, template, context, status=UNPROCESSABLE if refused else 200)


@screen("read")
def work_detail(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show work as it is written, and what stands against signing it."""
    work = found(work_for, request.user, pk)
    is_open = work.state == Work.State.OPEN
    overdue = overdue_on(work.engine) if is_open else []
    context = {
        "work": work,
        "sections": sections_of(actions.draft_body(work, request.user)),
        "missing": actions.faults_shown(work, request.user, overdue) if is_open else [],
        "overdue": overdue,
        "clock": clock_of(work),
        "may_do": is_open and request.user.may(DO),
        **second_look_shown(request, work),
        "drop": sheets.DropForm(),
        "photos": work_photos(work, request.user),
    }
    return render(request, "logbook/work_detail.html", context)


@require_POST
@screen(DO)
def work_drop(request: ScreenRequest, pk: int) -> HttpResponse:
    """Drop work that nobody is to sign."""
    work = actions.work_drop(work=found(work_for, request.user, pk), why=request.POST.get("why", ""), by=request.user)
    messages.success(request, f"{work} is dropped; it stays readable.")
    return redirect("work_detail", pk)


@screen(DO)
def work_sign(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show what will be signed, and sign it."""
    work = found(work_for, request.user, pk)
    is_certified = work.kind in actions.CERTIFIED

    def sign(form: SigningSheet) -> Entry:
        data = form.cleaned_data
        return actions.work_sign(
            work=work_for(request.user, pk),
            by=request.user,
            signing=form.signing(),
            read=data.get("read", ""),
            has_done_before=bool(data.get("has_done_before")),
        )

    sheet = sheets.WorkSignForm if is_certified else sheets.RecordSignForm
    context = {
        "work": work,
        "missing": actions.faults_shown(work, request.user),
        "warnings": warnings_of(request, work),
    }
    return read_and_sign(request, sheet, sign, template="logbook/work_sign.html", context=context)


def warnings_of(request: ScreenRequest, work: Work) -> list[str]:
    """Return what is to be thought of before signing, and holds nothing up."""
    on_file = on_file_of(work.operator_id, work.said("data_document"))
    return [warning for warning in (warning_of(request, work), revision_warning(work, on_file)) if warning]


def warning_of(request: ScreenRequest, work: Work) -> str:
    """Return a warning where little work of the signer is recorded, under rules that ask for recent experience."""
    rules = rules_of(work.operator_id)
    if work.kind not in actions.CERTIFIED or rules is None or rules.ruleset not in (US, US_PROGRAMME):
        return ""
    today = timezone.localdate()
    warning = experience_warning(days_worked(request.user, today), today)
    return f"{warning} It is yours to judge whether you may sign (14 CFR 65.83)." if warning else ""


@screen("read")
def discrepancy_list(request: ScreenRequest) -> HttpResponse:
    """Show the open and deferred discrepancies, or all of them where the address asks, of one engine or of all."""
    rows = discrepancies_of(request.user).order_by("-number")
    shows_all = request.GET.get("state") == "all"
    kept = rows.count()
    asked = request.GET.get("engine", "")
    engine: Engine | None = found(engine_for, request.user, asked) if asked.isdecimal() and len(asked) < 19 else None
    if engine is not None:
        rows = rows.filter(engine=engine)
    if not shows_all:
        rows = rows.filter(~Q(state_now=DiscrepancyLine.State.CLOSED))
    context = {"page": page_of(request, rows), "shows_all": shows_all, "kept": kept, "engine": engine}
    return render(request, "logbook/discrepancy_list.html", context)

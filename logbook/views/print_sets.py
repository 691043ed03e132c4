"""Print sets: chosen on a sheet; short ones are shown at once, long ones printed in the background."""

from typing import Any

from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render

from engines.web import UNPROCESSABLE, ScreenRequest, found, screen
from logbook.forms.prints import PrintSetForm
from logbook.models import Person
from logbook.press import Press, press_for
from logbook.print_jobs import PRINTS, job_add
from logbook.print_sets import Choice, chosen, lines_of, set_cover, sheets_of, with_versions
from logbook.printing.contents import set_chapters
from logbook.printing.paper import paper_of
from logbook.printing.sets import document
from logbook.queries import print_job_for, print_job_list

AT_ONCE = 25  # entries that a person does not have to wait long for


@screen("print")
def print_set(request: ScreenRequest) -> HttpResponseBase:
    """Choose which entries to print; an address may fill the sheet in."""
    PRINTS.expire()
    named = ("serial", "part", "first", "last", "paper")
    asked: dict[str, Any] = {name: request.GET[name] for name in named if name in request.GET}
    return _sheet(request, PrintSetForm(person=request.user, initial={"paper": "a4"} | asked))


@screen("print")
def print_make(request: ScreenRequest) -> HttpResponseBase:
    """Print the entries that are chosen."""
    form = PrintSetForm(request.POST, person=request.user)
    if not form.is_valid():
        return _sheet(request, form)
    count = chosen(request.user, form.choice).count()
    if not count:
        form.add_error(None, "No entry answers to this.")
        return _sheet(request, form)
    address = request.build_absolute_uri("/")
    paper = form.cleaned_data["paper"]
    if count <= AT_ONCE:
        press = press_for(request.user, paper, address)
        return press.answer(set_pdf(request.user, form.choice, press), "print-set.pdf")
    whole = {"choice": form.choice, "title": form.title, "paper": paper, "address": address}
    job = form.act(lambda: job_add(person=request.user, **whole))
    return _sheet(request, form) if job is None else redirect("print_job", job.pk)


def _sheet(request: ScreenRequest, form: PrintSetForm) -> HttpResponse:
    context = {"form": form, "jobs": print_job_list(request.user), "at_once": AT_ONCE}
    return render(request, "logbook/print_set.html", context, status=UNPROCESSABLE if form.errors else 200)


def set_pdf(person: Person, choice: Choice, press: Press) -> bytes:
    """Return a set on paper."""
    numbers = with_versions(person, chosen(person, choice))
    cover = set_cover(person, choice, numbers)
    sheets = sheets_of(person, numbers, press.address)
    chapters = set_chapters(cover, lines_of(person, numbers), sheets, press.stamp)
    return document(chapters, paper=paper_of(press.paper), title=cover.title)


@screen("print")
def print_job(request: ScreenRequest, pk: str) -> HttpResponse:
    """Show how far a set is, and where it lies once it is printed."""
    job = found(print_job_for, request.user, pk)
    PRINTS.revive(job)
    template = "logbook/print_job_state.html" if request.htmx else "logbook/print_job.html"
    return render(request, template, {"job": job})


@screen("print")
def print_job_file(request: ScreenRequest, pk: str) -> HttpResponseBase:
    """Give the file of a printed set to whoever asked for it."""
    job = found(print_job_for, request.user, pk)
    if not job.is_there:
        raise Http404("This set is not printed.")
    return FileResponse(job.file.open("rb"), content_type="application/pdf", filename=f"print-set-{job.pk}.pdf")

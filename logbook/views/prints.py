"""Paper: one entry, and an engine's log for a span of days, as PDF."""

from typing import Any, cast

from django import forms
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from engines.queries import engine_for
from engines.web import UNPROCESSABLE, ScreenRequest, found, screen
from logbook.models import Entry
from logbook.pictures import entry_pictures
from logbook.printing.entry import EntrySheet, entry_pdf
from logbook.printing.log import LogCover, log_pdf
from logbook.printing.paper import PAPERS, PaperName
from logbook.queries import entries_of, entry_for, entry_list


class SpanForm(forms.Form):
    """The days a log covers, both included; an empty box is no bound."""

    to = forms.DateField(required=False, label="To")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # "from" cannot be the name of a class attribute.
        self.fields["from"] = forms.DateField(required=False, label="From")

    def clean(self) -> dict[str, Any]:
        """Refuse a span that ends before it begins."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        first, last = data.get("from"), data.get("to")
        if first and last and first > last:
            self.add_error("to", "The last day lies before the first.")
        return data


@screen("print")
def entry_print(request: ScreenRequest, number: int) -> HttpResponse:
    """Print one entry."""
    entry = found(entry_for, request.user, number)
    content = entry_pdf(
        entry.body, number=number, paper=paper_asked(request), pictures=entry_pictures(entry), **stamp_of(request)
    )
    return pdf(content, f"entry-{number}-{entry.engine.serial}.pdf")


@screen("print")
def log_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print an engine's entries of a span of days."""
    engine = found(engine_for, request.user, pk)
    form = SpanForm(request.GET)
    if not form.is_valid():
        return render(request, "engines/log_refused.html", {"engine": engine, "form": form}, status=UNPROCESSABLE)
    span = (form.cleaned_data["from"], form.cleaned_data["to"])
    entries = entries_of(request.user, engine, *span)
    cover = LogCover(
        operator=engine.operator.name,
        place=engine.operator.place,
        is_demo=engine.operator.is_demo,
        engine={
            "serial": engine.serial,
            "type": engine.engine_type.name,
            "fitted_to": engine.fitted_to,
            "position": engine.position,
        },
        span=span,
        entries_in_all=entry_list(request.user).filter(engine=engine).count(),
    )
    content = log_pdf(list(map(sheet_of, entries)), cover=cover, paper=paper_asked(request), **stamp_of(request))
    days = "-".join(str(day) for day in span if day)
    return pdf(content, f"log-{engine.serial}-{days or 'all'}.pdf")


def sheet_of(entry: Entry) -> EntrySheet:
    """Return an entry as it is printed."""
    return EntrySheet(entry.number, entry.body, entry_pictures(entry))


def paper_asked(request: ScreenRequest) -> PaperName:
    """Return the paper the address asks for, A4 where it asks for none."""
    paper = request.GET.get("paper", "a4")
    if paper not in PAPERS:
        raise Http404(f"There is no paper named {paper!r}.")
    return cast(PaperName, paper)


def stamp_of(request: ScreenRequest) -> dict[str, Any]:
    """Return when and by whom it is printed."""
    return {"printed_at": timezone.localtime(), "printed_by": str(request.user)}


def pdf(content: bytes, name: str) -> HttpResponse:
    """Return a PDF that the browser shows, and keeps under a name of plain letters."""
    safe = "".join(c if c.isascii() and (c.isalnum() or c in "-.") else "-" for c in name)
    headers = {"Content-Disposition": f'inline; filename="{safe}"'}
    return HttpResponse(content, content_type="application/pdf", headers=headers)

"""Paper: one entry, and an engine's log for a span of days, as PDF."""

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from engines.models import Engine
from engines.queries import engine_for
from engines.web import UNPROCESSABLE, ScreenRequest, found, screen
from logbook.press import Press, press_for
from logbook.print_sets import entry_print_of, lines_of, sheets_of, times_at, with_versions
from logbook.printing.log import LogCover, log_pdf
from logbook.printing.paper import PAPERS
from logbook.queries import entries_of, entry_for, entry_list

MOST_AT_ONCE = 100  # entries of a log that is shown at once
Span = tuple[date | None, date | None]


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
    """Print one entry, with the other versions of it where there are any."""
    entry = found(entry_for, request.user, number)
    press = press_of(request)
    content = entry_print_of(request.user, number, press)
    return press.answer(content, f"entry-{number}-{entry.engine.serial if entry.engine else 'part'}.pdf")


@screen("print")
def log_print(request: ScreenRequest, pk: int) -> HttpResponse:
    """Print an engine's entries of a span of days; a long log is printed in the background."""
    engine = found(engine_for, request.user, pk)
    form = SpanForm(request.GET)
    if not form.is_valid():
        return render(request, "engines/log_refused.html", {"engine": engine, "form": form}, status=UNPROCESSABLE)
    span = (form.cleaned_data["from"], form.cleaned_data["to"])
    entries = entries_of(request.user, engine, *span)
    numbers, press = with_versions(request.user, entries), press_of(request)
    if len(numbers) > MOST_AT_ONCE:
        return background_offered(request, engine, span, len(numbers))
    cover = LogCover(
        operator=engine.operator.name,
        place=engine.operator.place,
        is_demo=engine.operator.is_demo,
        engine=engine.named,
        span=span,
        entries_in_all=entry_list(request.user).filter(engine=engine).count(),
    )
    content = log_pdf(
        lines_of(request.user, numbers),
        sheets_of(request.user, numbers, press.address),
        cover=cover,
        times=times_at(request.user, numbers),
        paper=press.paper,
        stamp=press.stamp,
    )
    days = "-".join(str(day) for day in span if day)
    return press.answer(content, f"log-{engine.serial}-{days or 'all'}.pdf")


def background_offered(request: ScreenRequest, engine: Engine, span: Span, count: int) -> HttpResponse:
    """Lead from a log that takes long to the sheet by which it is printed in the background."""
    messages.info(request, f"This log has {count} entries. Print it from here: it is made in the background.")
    asked = {"serial": engine.serial, "paper": request.GET.get("paper", "a4")}
    asked |= {name: str(day) for name, day in zip(("first", "last"), span, strict=True) if day}
    return redirect(f"{reverse('print_set')}?{urlencode(asked)}")


def press_of(request: ScreenRequest) -> Press:
    """Return what a request prints with: A4 where the address asks for no paper."""
    paper = request.GET.get("paper", "a4")
    if paper not in PAPERS:
        raise Http404(f"There is no paper named {paper!r}.")
    return press_for(request.user, paper, request.build_absolute_uri("/"))

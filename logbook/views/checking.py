"""The public page on which a printed entry is checked, without signing in."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache

from logbook.ledger.answers import Answer, answer_for


@never_cache
def check(request: HttpRequest) -> HttpResponse:
    """Ask for the code of a printed entry, and answer it."""
    return _answered(request, request.GET.get("code", "").strip())


@never_cache
def check_entry(request: HttpRequest, code: str) -> HttpResponse:
    """Answer the code that a QR carries."""
    return _answered(request, code)


def _answered(request: HttpRequest, code: str) -> HttpResponse:
    answer: Answer | None = None
    fault = ""
    if code:
        try:
            answer = answer_for(code)
        except ValueError as error:
            fault = str(error)
    return render(request, "logbook/check.html", {"answer": answer, "code": code, "fault": fault})

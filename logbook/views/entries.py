"""The entries of the logbook, and one of them as it stands."""

from django.http import HttpResponse
from django.shortcuts import render

from engines.web import ScreenRequest, found, page_of, screen
from logbook import queries
from logbook.filters import EntryFilter
from logbook.forms.lists import list_fields


@screen("read")
def entry_list(request: ScreenRequest) -> HttpResponse:
    """Show the entries, newest first, narrowed by engine, kind and days."""
    entries = queries.entry_list(request.user)
    filtered = EntryFilter(request.GET, queryset=entries.order_by("-number"), request=request)
    fields = list_fields(filtered, ("engine", "kind", "from", "to"), engine="Every engine", kind="Every kind")
    page = page_of(request, filtered.qs)
    context = {"page": page, "filter": filtered, "fields": fields, "kept": entries.count()}
    return render(request, "logbook/entry_list.html", context)


@screen("read")
def entry_detail(request: ScreenRequest, number: int) -> HttpResponse:
    """Show one entry as text, with the same facts as its print."""
    entry = found(queries.entry_for, request.user, number)
    return render(request, "logbook/entry_detail.html", {"entry": entry, "body": entry.body})

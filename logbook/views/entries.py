"""The entries of the logbook, and one of them as it stands."""

from django import forms
from django.forms import BoundField
from django.http import HttpResponse
from django.shortcuts import render

from engines.web import ScreenRequest, found, page_of, screen
from logbook import queries
from logbook.changes import gone_from
from logbook.entry_history import History
from logbook.filters import EntryFilter
from logbook.forms.lists import list_fields
from logbook.models import Entry
from logbook.photos.addenda import addendum_fault
from logbook.photos.queries import addenda_of, photos_later
from logbook.putting_right import address_of, way_of
from logbook.views.drawings import entry_drawings
from logbook.views.saved import views_shown

FOUND_BY = ("engine", "serial", "number", "from", "to", "person", "kind", "state", "words")


@screen("read")
def entry_list(request: ScreenRequest) -> HttpResponse:
    """Show the entries, newest first, narrowed by what the address asks for."""
    entries = queries.entries_shown(request.user)
    filtered = EntryFilter(request.GET, queryset=entries.order_by("-number"), request=request)
    kept = entries.count()
    page = page_of(request, filtered.qs, count=None if filtered.form.has_changed() else kept)
    context = {"page": page, "filter": filtered, "fields": boxes_of(filtered), "kept": kept}
    asked = filtered.form.cleaned_data if filtered.form.is_valid() else {}
    context |= views_shown(request, "entry_list")
    context["only_engine"] = asked.get("engine")
    return render(request, "logbook/entry_list.html", context)


def boxes_of(filtered: EntryFilter) -> list[BoundField]:
    """Return the boxes of the screen; an engine comes by address alone, since all of them may be too many to list."""
    filtered.form.fields["engine"].widget = forms.HiddenInput()
    fields = list_fields(filtered, FOUND_BY, person="Anybody", kind="Every kind", state="Every state")
    return fields if filtered.data.get("engine") else fields[1:]


@screen("read")
def entry_detail(request: ScreenRequest, number: int) -> HttpResponse:
    """Show one entry as text, with the same facts as its print, and how it came to be."""
    entry = found(queries.entry_for, request.user, number)
    addenda = addenda_of(entry)
    later = photos_later(entry, addenda)
    way = way_of(entry)
    context = {
        "entry": entry,
        "body": entry.body,
        "drawings": entry_drawings(entry),
        "history": History(entry, request.user),
        "gone": gone_of(entry),
        "addenda": addenda,
        "later_photos": later,
        "may_add": request.user.may("inspection.close") and addendum_fault(entry, request.user, later) is None,
        "way": way,
        "correct_address": address_of(entry, request.user, way),
    }
    return render(request, "logbook/entry_detail.html", context)


def gone_of(entry: Entry) -> frozenset[str]:
    """Return which texts of an entry no longer stand, by the one that corrects it."""
    newer: Entry | None = getattr(entry, "corrected_by", None)
    return frozenset() if newer is None else gone_from(entry.body, newer.body) | {"signature"}

"""The entries of the logbook, and one of them as it stands."""

from django import forms
from django.forms import BoundField
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from engines.web import ScreenRequest, found, page_of, screen
from logbook import queries
from logbook.access import DIRECTOR
from logbook.changes import gone_from
from logbook.corrections import run_correct_fault
from logbook.entry_history import History
from logbook.filters import EntryFilter
from logbook.forms.lists import list_fields
from logbook.handover.giving import handover_void_fault
from logbook.models import Entry, Person
from logbook.part_corrections import ACTS, row_of
from logbook.photos.addenda import addendum_fault
from logbook.photos.queries import addenda_of, photos_later
from logbook.views.drawings import entry_drawings
from logbook.views.saved import views_shown

WORK_KINDS = (Entry.Kind.WORK, Entry.Kind.INSPECTION, Entry.Kind.METER_CHANGE, Entry.Kind.OPENING)
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
    context = {
        "entry": entry,
        "body": entry.body,
        "drawings": entry_drawings(entry),
        "history": History(entry, request.user),
        "gone": gone_of(entry),
        "addenda": addenda,
        "later_photos": later,
        "may_add": request.user.may("inspection.close") and addendum_fault(entry, request.user, later) is None,
        "correct_address": correct_address(entry, request.user),
    }
    return render(request, "logbook/entry_detail.html", context)


def gone_of(entry: Entry) -> frozenset[str]:
    """Return which texts of an entry no longer stand, by the one that corrects it."""
    newer: Entry | None = getattr(entry, "corrected_by", None)
    return frozenset() if newer is None else gone_from(entry.body, newer.body) | {"signature"}


def correct_address(entry: Entry, person: Person) -> str:
    """Return where a person corrects an entry; "" where they can't, or it is corrected elsewhere."""
    if getattr(entry, "corrected_by", None) is not None:
        return ""
    if entry.kind in Entry.RUNS and entry.run is not None:
        may = person.may("run.record") and run_correct_fault(entry.run, person) is None
        return reverse("run_correct", args=[entry.run_id]) if may else ""
    if entry.kind == Entry.Kind.HANDOVER:
        return _void_address(entry, person)
    may = _is_corrected_itself(entry) and _may_correct(entry, person)
    return reverse("entry_correct", args=[entry.number]) if may else ""


def _void_address(entry: Entry, person: Person) -> str:
    may = person.may("record.hand_over") and handover_void_fault(entry) is None
    return reverse("package_give_void", args=[entry.number]) if may else ""


def _is_corrected_itself(entry: Entry) -> bool:
    """Return whether an entry is of an ended inspection or of drafted work, whose text has a sheet to correct it."""
    is_ended = entry.kind == Entry.Kind.INSPECTION and entry.inspection_id is not None
    if entry.component_id is not None and row_of(entry) is not None:
        return True
    return is_ended or (entry.kind in WORK_KINDS and bool(entry.body.get("draft")))


def _may_correct(entry: Entry, person: Person) -> bool:
    """Return whether a person may correct what was signed: who signed it, or a director."""
    act = ACTS.get(Entry.Kind(entry.kind), "inspection.close")
    return (
        person.may("inspection.close")
        and person.may(act)
        and (entry.signed_by_id == person.pk or person.role == DIRECTOR)
    )

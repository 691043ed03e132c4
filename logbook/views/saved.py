"""Saved views: a list narrowed in some way, kept under a name and an address that stays."""

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.db.models import Q
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from engines.filters import EngineFilter
from engines.web import ScreenRequest, found, screen
from logbook import saved_views
from logbook.filters import ConcernFilter, EntryFilter, HeldInspectionFilter
from logbook.queries import saved_view_for, saved_view_list

FILTERS: dict[str, Any] = {
    "inspection_list": HeldInspectionFilter,
    "entry_list": EntryFilter,
    "engine_list": EngineFilter,
    "concern_list": ConcernFilter,
}


def views_shown(request: ScreenRequest, of: str) -> dict[str, Any]:
    """Return what a list shows of saved views: the person's own, and the one that the address came from."""
    asked = saved_views.key_of(request.GET.get("view", ""))
    found_here = saved_view_list(request.user).filter(of=of).select_related("person")
    views = list(found_here.filter(Q(person=request.user) | Q(pk=asked)))
    mine = [view for view in views if view.person_id == request.user.pk]
    opened = next((view for view in views if view.pk == asked), None)
    return {
        "saved": mine,
        "opened_view": opened,
        "is_own_view": opened is not None and opened.person_id == request.user.pk,
        "list_name": of,
        "filters_sent": query_kept(of, request.GET),
    }


def query_kept(of: str, asked: QueryDict) -> str:
    """Return the part of an address that narrows a list, without its page and whatever no filter knows."""
    known = FILTERS[of].get_filters()
    return urlencode([(name, value) for name, values in asked.lists() if name in known for value in values if value])


@screen("read")
def view_list(request: ScreenRequest) -> HttpResponse:
    """Show the saved views of the operator's people, one's own first."""
    views = saved_view_list(request.user).select_related("person")
    mine = [view for view in views if view.person_id == request.user.pk]
    others = [view for view in views if view.person_id != request.user.pk]
    return render(request, "logbook/view_list.html", {"mine": mine, "others": others})


@screen("read")
def view_open(request: ScreenRequest, pk: Any) -> HttpResponse:
    """Lead from a view's address to its list as the view narrows it now."""
    view = found(saved_view_for, request.user, pk)
    query = f"{view.query}&" if view.query else ""
    return redirect(f"{reverse(view.of)}?{query}view={view.pk}")


@require_POST
@screen("view.keep")
def view_keep(request: ScreenRequest) -> HttpResponse:
    """Keep a list as it is narrowed now, under a name."""
    of = request.POST.get("of", "")
    query = query_kept(of, QueryDict(request.POST.get("query", ""))) if of in FILTERS else ""
    view = saved_views.view_keep(of=of, name=request.POST.get("name", ""), query=query, by=request.user)
    messages.success(request, f"The view “{view.name}” is kept. Its address stays the same when its filters change.")
    return redirect("view_open", view.pk)


@require_POST
@screen("view.keep")
def view_change(request: ScreenRequest, pk: Any) -> HttpResponse:
    """Give one's own view another name or other filters; its address stays."""
    view = found(saved_view_for, request.user, pk)
    query = request.POST.get("query")
    view = saved_views.view_change(
        view=view,
        name=request.POST.get("name"),
        query=None if query is None else query_kept(view.of, QueryDict(query)),
        by=request.user,
    )
    messages.success(request, f"The view “{view.name}” is changed; whoever opens its address sees it so.")
    return redirect("view_open", view.pk) if query is not None else redirect("view_list")


@require_POST
@screen("view.keep")
def view_drop(request: ScreenRequest, pk: Any) -> HttpResponse:
    """Take away one's own view; nothing that it listed changes."""
    view = found(saved_view_for, request.user, pk)
    saved_views.view_drop(view=view, by=request.user)
    messages.success(request, f"The view “{view.name}” is gone. Nothing that it listed has changed.")
    return redirect("view_list")

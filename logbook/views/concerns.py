"""What the director has to settle: the list, and each concern with its one decision."""

from django.db.models import Count, Q, QuerySet
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render

from engines.web import UNPROCESSABLE, ScreenRequest, found, page_of, recorded, screen, sent
from logbook.concerns import LATE_AFTER, OWN_DRAFT, concern_settle, is_of_own_draft
from logbook.desk import Concern
from logbook.filters import ConcernFilter
from logbook.forms.concerns import SettleForm
from logbook.forms.lists import list_fields
from logbook.list_columns import CONCERN_COLUMNS
from logbook.queries import concern_for
from logbook.queries import concern_list as concerns_of
from logbook.views.lists import ROWS_AT_ONCE, table
from logbook.views.saved import views_shown


@screen("read")
def concern_list(request: ScreenRequest) -> HttpResponse:
    """Show what has to be settled, oldest first, or what is settled, newest first."""
    every = concerns_of(request.user)
    filtered, rows = concerns_asked(request)
    open_by_kind = {kind: Count("pk", filter=Q(kind=kind, settlement=None)) for kind in Concern.Kind.values}
    counts = every.order_by().aggregate(kept=Count("pk"), **open_by_kind)
    context = {
        "page": page_of(request, rows),
        "filter": filtered,
        "fields": list_fields(filtered, ("kind", "settled", "serial"), kind="Every kind", settled="To settle"),
        "kinds": [(value, label, counts[value]) for value, label in Concern.Kind.choices],
        "kept": counts["kept"],
        **views_shown(request, "concern_list"),
    }
    return render(request, "logbook/concern_list.html", context)


def concerns_asked(request: ScreenRequest) -> tuple[ConcernFilter, QuerySet[Concern]]:
    """Return the filter that the address asks for, with its rows: what is open, unless it asks for what is settled."""
    filtered = ConcernFilter(request.GET, queryset=concerns_of(request.user), request=request)
    asked = request.GET.get("settled")
    rows = filtered.qs if asked else filtered.qs.filter(settlement=None)
    return filtered, rows.order_by("-settlement__settled_at") if asked == "yes" else rows


@screen("read")
def concern_table(request: ScreenRequest, form: str) -> HttpResponseBase:
    """Give what the address asks for as a file."""
    rows = concerns_asked(request)[1]
    return table(request, form, "to-settle", CONCERN_COLUMNS, rows.iterator(ROWS_AT_ONCE))


@screen("read", "concern.settle")
def concern_detail(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show one concern with what it is about, and settle it."""
    concern = found(concern_for, request.user, pk)
    form = SettleForm(sent(request)[0])
    if request.method == "POST":
        settled = form.act(lambda: concern_settle(concern=concern, by=request.user, **form.cleaned_data))
        if settled is not None:
            recorded(request, f"Settled: {settled}.")
            return redirect("concern_list")
    context = {
        "concern": concern,
        "form": form,
        "settlement": getattr(concern, "settlement", None),
        "may_settle": request.user.may("concern.settle") and not is_of_own_draft(concern, request.user),
        "own_draft": OWN_DRAFT if is_of_own_draft(concern, request.user) else "",
        "late_days": LATE_AFTER.days,
    }
    return render(request, "logbook/concern_detail.html", context, status=UNPROCESSABLE if form.errors else 200)

"""What every screen stands on: who may come in, how an object is reached, how a refusal is shown."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, TypeVar, cast
from urllib.parse import urlsplit

from django.contrib import messages
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ObjectDoesNotExist, PermissionDenied
from django.core.paginator import Page, Paginator
from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django_htmx.http import HttpResponseClientRedirect, reswap, retarget
from django_htmx.middleware import HtmxDetails

from engines.errors import DomainError

PAGE_ROWS = 50
UNPROCESSABLE = 422

M = TypeVar("M", bound=Model)
P = ParamSpec("P")


class ScreenRequest(HttpRequest):
    """A request as it reaches a screen: with a person signed in, and with what htmx says of itself."""

    htmx: HtmxDetails
    user: Any


Screen = Callable[Concatenate[ScreenRequest, P], HttpResponseBase]


def found(query: Callable[[Any, Any], M], user: Any, pk: object) -> M:
    """Return what a query finds for a person; what is not there, or not theirs to see, is 404 alike."""
    try:
        return query(user, pk)
    except ObjectDoesNotExist as error:
        raise Http404(str(error)) from error


def sent(request: HttpRequest) -> tuple[Any, Any]:
    """Return what was sent, boxes and files, for a form; nothing where the screen is only opened."""
    return (request.POST, request.FILES) if request.method == "POST" else (None, None)


def kept_as(request: HttpRequest, name: str = "") -> str:
    """Return the name under which a device keeps what a person types on a sheet: its own, or else its address."""
    return f"{name or request.get_full_path()}:{request.user.pk}"


def recorded(request: HttpRequest, words: str, name: str = "") -> None:
    """Say that what was typed on a sheet is recorded; told with it is what their device kept of it, and forgets now."""
    messages.success(request, words, extra_tags=kept_as(request, name))


def page_of(request: HttpRequest, rows: QuerySet[M], count: int | None = None) -> Page[M]:
    """Return the page of a list that the address asks for, the first or the last where it asks for none there is.

    ``count`` is how many rows there are, where that is known already.
    """
    paginator = Paginator(rows, PAGE_ROWS)
    if count is not None:
        paginator.count = count
    page = paginator.get_page(request.GET.get("page"))
    first = (page.number - 1) * PAGE_ROWS
    # Which rows are on the page is found first, so that a long list is joined to nothing.
    keys = rows.values_list("pk", flat=True)[first : first + PAGE_ROWS]
    page.object_list = rows.filter(pk__in=list(keys))
    return page


def screen(reads: str, writes: str = "") -> Callable[[Screen[P]], Screen[P]]:
    """Let in who is signed in and whose role allows the act: one for looking, another for sending where it differs."""

    def decorate(view: Screen[P]) -> Screen[P]:
        @wraps(view)
        def inner(request: ScreenRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return to_sign_in(request)
            act = writes if writes and request.method == "POST" else reads
            if not request.user.may(act):
                raise PermissionDenied(act)
            return refusals_shown(view)(request, *args, **kwargs)

        return cast("Screen[P]", inner)

    return decorate


def to_sign_in(request: ScreenRequest) -> HttpResponseBase:
    """Send whoever is not signed in to the sign-in screen; a fragment must not be filled with that screen."""
    if request.htmx:
        way = redirect_to_login(request.htmx.current_url_abs_path or "/")["Location"]
        return HttpResponseClientRedirect(way)
    return redirect_to_login(request.get_full_path() if request.method == "GET" else page_before(request))


def page_before(request: HttpRequest) -> str:
    """Return the page of ours that something was sent from, as not every address can be opened."""
    before = urlsplit(request.headers.get("Referer", ""))
    if before.netloc != request.get_host():
        return "/"
    return f"{before.path}?{before.query}" if before.query else before.path


def refusals_shown(view: Screen[P]) -> Screen[P]:
    """Show a refusal that no form took up: as a notice in place for htmx, else as a page, with status 422."""

    @wraps(view)
    def inner(request: ScreenRequest, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
        try:
            return view(request, *args, **kwargs)
        except DomainError as error:
            return refusal(request, error)

    return cast("Screen[P]", inner)


def refusal(request: ScreenRequest, error: DomainError) -> HttpResponseBase:
    """Return a refusal as a fragment for the notices of the page in view, or as a page of its own."""
    template = "refusal_notice.html" if request.htmx else "refusal.html"
    response = render(request, template, {"refusal": error}, status=UNPROCESSABLE)
    return reswap(retarget(response, "#notices"), "innerHTML") if request.htmx else response

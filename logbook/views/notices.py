"""One's calendar address and daily mail; the calendar itself, and stopping mails, need no sign-in."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt

from engines.web import UNPROCESSABLE, ScreenRequest, screen
from logbook import notices
from logbook.forms.due import DigestForm
from logbook.models import DigestChoice, Person


@never_cache
@screen("account")
def calendar_add(request: ScreenRequest) -> HttpResponse:
    """Make a calendar address in the place of the one before, and show it this once."""
    secret = notices.calendar_issue(person=request.user)
    address = request.build_absolute_uri(f"/calendar/{secret}.ics")
    return render(request, "logbook/calendar_add.html", {"address": address}, status=201)


@screen("account")
def calendar_revoke(request: ScreenRequest) -> HttpResponse:
    """End one's calendar address."""
    if notices.calendar_revoke(person=request.user):
        messages.success(request, "The calendar address is revoked; programs that read it get nothing more.")
    return redirect("token_list")


def calendar_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """Give the calendar of whoever's address it is; 404 for an address that is not known or revoked."""
    row = notices.calendar_known(secret)
    if row is None:
        raise Http404("There is no such calendar.")
    content = notices.calendar_of(row.person, request.build_absolute_uri("/"))
    headers = {"Content-Disposition": 'inline; filename="coming-due.ics"', "Cache-Control": "private, max-age=3600"}
    return HttpResponse(content, content_type="text/calendar; charset=utf-8", headers=headers)


@screen("account")
def digest_set(request: ScreenRequest) -> HttpResponse:
    """Choose when the mail of what is due and open comes, and what stands in it."""
    choice = DigestChoice.objects.filter(person=request.user).first() or DigestChoice(person=request.user)
    form = DigestForm(request.POST if request.method == "POST" else None, initial=initial_of(choice))
    if request.method == "POST" and form.is_valid():
        keep(choice, request.user, form)
        messages.success(request, "Your choice of mails is kept.")
        return redirect("token_list")
    return render(request, "logbook/digest_set.html", {"form": form}, status=UNPROCESSABLE if form.errors else 200)


def initial_of(choice: DigestChoice) -> dict[str, object]:
    """Return what stands in the boxes at first: what was chosen before."""
    names = ("when", "of_due", "of_inspections", "of_concerns")
    return {name: getattr(choice, name) for name in names} | {"email": choice.person.email}


def keep(choice: DigestChoice, person: Person, form: DigestForm) -> None:
    """Keep a choice, and the address that mails go to."""
    data = form.cleaned_data
    choice.when = data["when"]
    choice.of_due, choice.of_inspections, choice.of_concerns = (
        data[name] for name in ("of_due", "of_inspections", "of_concerns")
    )
    choice.save()
    person.email = data["email"]
    person.save(update_fields=["email"])


@csrf_exempt
def digest_stop(request: HttpRequest, key: str) -> HttpResponse:
    """Stop the mails to the person whom a signed address names; opening it alone changes nothing."""
    choice = notices.stop_known(key)
    if choice is None:
        raise Http404("There are no such mails.")
    if request.method == "POST":
        choice.when = DigestChoice.When.NEVER
        choice.save(update_fields=["when"])
    return render(request, "logbook/digest_stop.html", {"choice": choice, "is_stopped": request.method == "POST"})

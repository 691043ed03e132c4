"""People: their certificates, whether they still work here, and the list of who may inspect what."""

from typing import Any

from django.contrib import messages
from django.db.models import Prefetch
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from engines.web import UNPROCESSABLE, ScreenRequest, found, screen, sent
from logbook import people
from logbook.desk import Authorization
from logbook.forms.people import AuthorizationForm, CertificateForm
from logbook.models import Certificate, Person
from logbook.phrases import validity_words
from logbook.printing.lists import authorizations_pdf
from logbook.queries import authorization_for, authorizations_on, person_for
from logbook.queries import authorization_list as authorizations_of
from logbook.queries import person_list as people_of
from logbook.views.prints import press_of

KEEP = "people.keep"


@screen("read")
def person_list(request: ScreenRequest) -> HttpResponse:
    """Show the people of the operator: role, certificates as they stand, and whether they may sign in."""
    standing = Prefetch("certificates", Certificate.objects.filter(replaced_by=None), to_attr="standing")
    today = timezone.localdate()
    allowed = Prefetch("authorizations", authorizations_on(today), to_attr="allowed")
    rows = [
        (person, [(line, validity(line)) for line in person.standing], person.allowed)
        for person in people_of(request.user).prefetch_related(standing, allowed)
    ]
    return render(request, "logbook/person_list.html", {"rows": rows, "may_keep": request.user.may(KEEP)})


def validity(certificate: Certificate) -> str:
    """Return how a certificate stands today, in words."""
    return validity_words(certificate.valid_from, certificate.valid_until, timezone.localdate())


@screen("read")
def person_detail(request: ScreenRequest, pk: int) -> HttpResponse:
    """Show one person with every certificate, those replaced too, and what they may inspect."""
    person = found(person_for, request.user, pk)
    certificates = list(person.certificates.select_related("replaces", "replaced_by", "added_by"))
    context = {
        "person": person,
        "standing": [(line, validity(line)) for line in certificates if not hasattr(line, "replaced_by")],
        "replaced": [line for line in certificates if hasattr(line, "replaced_by")],
        "authorizations": authorizations_of(request.user).filter(person=person),
        "changes": person.account_changes.select_related("by"),
        "may_keep": request.user.may(KEEP),
        "is_own": person.pk == request.user.pk,
    }
    return render(request, "logbook/person_detail.html", context)


@screen(KEEP)
def certificate_add(request: ScreenRequest, pk: int) -> HttpResponse:
    """Enter a certificate, or a changed one in the place of another."""
    person = found(person_for, request.user, pk)
    replaces = replaced_in(request, person)
    kept = {name: getattr(replaces, name) for name in people.KEPT} if replaces else {}
    form = CertificateForm(sent(request)[0], initial=kept)
    if request.method == "POST":
        made = form.act(
            lambda: people.certificate_add(person=person, facts=form.cleaned_data, by=request.user, replaces=replaces)
        )
        if made is not None:
            messages.success(request, f"{made} is entered.")
            return redirect("person_detail", person.pk)
    context = {"person": person, "form": form, "replaces": replaces}
    return render(request, "logbook/certificate_add.html", context, status=UNPROCESSABLE if form.errors else 200)


def replaced_in(request: ScreenRequest, person: Person) -> Certificate | None:
    """Return the certificate in whose place the address asks to enter one; 404 for one that is not the person's."""
    asked = request.GET.get("replaces", "")
    if not asked:
        return None
    return get_object_or_404(person.certificates, pk=int(asked) if asked.isdecimal() and len(asked) < 19 else 0)


@require_POST
@screen(KEEP)
def person_deactivate(request: ScreenRequest, pk: int) -> HttpResponse:
    """Close a person's account."""
    person = people.person_deactivate(person=found(person_for, request.user, pk), by=request.user)
    messages.success(request, f"{person} can no longer sign in. What {person} recorded and signed stays.")
    return redirect("person_detail", person.pk)


@require_POST
@screen(KEEP)
def person_restore(request: ScreenRequest, pk: int) -> HttpResponse:
    """Open a person's account again."""
    person = people.person_restore(person=found(person_for, request.user, pk), by=request.user)
    messages.success(request, f"{person} can sign in again.")
    return redirect("person_detail", person.pk)


@screen("read")
def authorization_list(request: ScreenRequest) -> HttpResponse:
    """Show who may inspect what, as it stands today, and the lines that have ended."""
    today = timezone.localdate()
    lines = list(authorizations_of(request.user))
    context = {
        "standing": [line for line in lines if line.ended_on is None or line.ended_on > today],
        "ended": [line for line in lines if line.ended_on is not None and line.ended_on <= today],
        "may_keep": request.user.may(KEEP),
        "today": today,
    }
    return render(request, "logbook/authorization_list.html", context)


@screen(KEEP)
def authorization_add(request: ScreenRequest) -> HttpResponse:
    """Write a person on the list, or a changed line in the place of another."""
    asked = request.GET.get("ends", "")
    ends = found(authorization_for, request.user, int(asked)) if asked.isdecimal() and len(asked) < 19 else None
    form = AuthorizationForm(sent(request)[0], operator=request.user.operator_id, line=ends, initial=line_kept(ends))
    if request.method == "POST":
        made = form.act(lambda: added(request, form, ends))
        if made is not None:
            messages.success(request, f"{made} is on the list.")
            return redirect("authorization_list")
    context = {"form": form, "ends": ends}
    return render(request, "logbook/authorization_add.html", context, status=UNPROCESSABLE if form.errors else 200)


def added(request: ScreenRequest, form: AuthorizationForm, ends: Authorization | None) -> Authorization:
    """Write the line of a sheet."""
    person = form.cleaned_data["person"]
    return people.authorization_add(person=person, line=form.line(), by=request.user, ends=ends)


def line_kept(line: Authorization | None) -> dict[str, Any]:
    """Return what a changed line begins with: what the old one says, from today."""
    kept: dict[str, Any] = {"begins_on": timezone.localdate()}
    if line is not None:
        kept |= {name: getattr(line, name) for name in ("title", "inspections", "only")}
        kept |= {"person": line.person_id, "engine_type": line.engine_type_id}
    return kept


@require_POST
@screen(KEEP)
def authorization_end(request: ScreenRequest, pk: int) -> HttpResponse:
    """End a line of the list today."""
    line = found(authorization_for, request.user, pk)
    today = timezone.localdate()
    people.authorization_end(line=line, on=max(today, line.begins_on), by=request.user)
    messages.success(request, f"{line} is no longer on the list. The line stays readable below.")
    return redirect("authorization_list")


@screen("print")
def authorization_print(request: ScreenRequest) -> HttpResponse:
    """Print the list of who may inspect what as it stands today."""
    today = timezone.localdate()
    lines = list(authorizations_on(today).filter(operator=request.user.operator_id))
    press = press_of(request)
    content = authorizations_pdf(lines, operator=request.user.operator, on=today, paper=press.paper, stamp=press.stamp)
    return press.answer(content, f"who-may-inspect-{today}.pdf")

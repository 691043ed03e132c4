"""Opening accounts, changing roles, and giving one-time passwords, which are shown once."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache

from engines.web import UNPROCESSABLE, ScreenRequest, found, screen, sent
from logbook import account_keeping
from logbook.forms.people import NewcomerForm, RoleForm
from logbook.queries import person_for

KEEP = "people.keep"


@never_cache
@screen(KEEP)
def person_add(request: ScreenRequest) -> HttpResponse:
    """Open an account, and show its one-time password this once."""
    form = NewcomerForm(sent(request)[0])
    if request.method == "POST":
        made = form.act(
            lambda: account_keeping.person_add(who=account_keeping.Newcomer(**form.cleaned_data), by=request.user)
        )
        if made is not None:
            context = {"person": made[0], "password": made[1]}
            return render(request, "logbook/person_add.html", context, status=201)
    return render(request, "logbook/person_add.html", {"form": form}, status=UNPROCESSABLE if form.errors else 200)


@screen(KEEP)
def person_role(request: ScreenRequest, pk: int) -> HttpResponse:
    """Give a person another role."""
    person = found(person_for, request.user, pk)
    form = RoleForm(sent(request)[0], initial={"role": person.role})
    if request.method == "POST":
        done = form.act(
            lambda: account_keeping.role_change(person=person, role=form.cleaned_data["role"], by=request.user)
        )
        if done is not None:
            messages.success(request, f"{done} is now {done.get_role_display().lower()}.")
            return redirect("person_detail", person.pk)
    context = {"person": person, "form": form, "is_own": person.pk == request.user.pk}
    return render(request, "logbook/person_role.html", context, status=UNPROCESSABLE if form.errors else 200)


@never_cache
@screen(KEEP)
def person_password(request: ScreenRequest, pk: int) -> HttpResponse:
    """Give a person a new one-time password, and show it this once."""
    person = found(person_for, request.user, pk)
    context: dict[str, object] = {"person": person, "is_own": person.pk == request.user.pk}
    if request.method == "POST":
        context["password"] = account_keeping.password_reset(person=person, by=request.user)
    return render(request, "logbook/person_password.html", context, status=201 if "password" in context else 200)

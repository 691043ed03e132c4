"""Coming in and going out, and one's own access: password, passkeys, codes and tokens."""

from typing import Any

from allauth.account import views
from allauth.mfa.models import Authenticator
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from engines.web import UNPROCESSABLE, ScreenRequest, found, screen, sent
from logbook.forms.accounts import TokenForm
from logbook.models import ApiToken, DigestChoice, Person
from logbook.tokens import token_issue
from logbook.tokens import token_list as tokens_of
from logbook.tokens import token_revoke as token_end


class SignIn(views.LoginView):
    """The first screen of all."""

    template_name = "logbook/sign_in.html"


sign_in = SignIn.as_view()
sign_out = views.LogoutView.as_view()


@never_cache
@screen("account")
def token_list(request: ScreenRequest) -> HttpResponse:
    """Show what a person signs in with, and the tokens by which programs act for them."""
    return render(request, "logbook/token_list.html", access_of(request.user))


@never_cache
@screen("account")
def token_add(request: ScreenRequest) -> HttpResponse:
    """Make a token, and show it this once."""
    form = TokenForm(*sent(request))
    if request.method == "POST":
        made = form.act(lambda: token_issue(person=request.user, **form.cleaned_data))
        if made is not None:
            return render(request, "logbook/token_add.html", {"row": made[0], "token": made[1]}, status=201)
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "logbook/token_add.html", {"form": form}, status=status)


@require_POST
@screen("account")
def token_revoke(request: ScreenRequest, pk: int) -> HttpResponse:
    """End one of one's own tokens."""
    token = token_end(token=found(own_token, request.user, pk))
    messages.success(request, f"The token “{token.label}” is revoked.")
    return redirect("token_list")


def own_token(person: Person, pk: int) -> ApiToken:
    """Return one of a person's own tokens; ApiToken.DoesNotExist for anybody else's."""
    return tokens_of(person).get(pk=pk)


def access_of(person: Person) -> dict[str, Any]:
    """Return what a person signs in with, and their tokens."""
    factors = list(Authenticator.objects.filter(user=person).order_by("created_at"))
    kinds = {factor.type for factor in factors}
    return {
        "tokens": tokens_of(person),
        "calendar": person.calendar_addresses.filter(revoked_at=None).first(),
        "digest": DigestChoice.objects.filter(person=person).first(),
        "passkeys": [factor.wrap() for factor in factors if factor.type == Authenticator.Type.WEBAUTHN],
        "has_app": Authenticator.Type.TOTP in kinds,
        "codes": next((f.wrap() for f in factors if f.type == Authenticator.Type.RECOVERY_CODES), None),
    }

"""What every request passes before its view: is the session still good, and does the table open this door."""

from collections.abc import Callable
from typing import Any, cast

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseNotAllowed
from django.http.response import HttpResponseBase
from django.shortcuts import redirect
from django.urls import ResolverMatch
from django.utils import timezone

from engines.web import ScreenRequest, to_sign_in
from inspections.drawing.words import count_text
from logbook import sessions
from logbook.access import OPEN, STAFF_ACT, act_of, door_of
from logbook.models import Person

Answer = Callable[[HttpRequest], HttpResponseBase]
# The doors of REST ask the same table, once they know whose token a request bears.
ASKS_ITSELF = "api:"
# What may be done with a one-time password: set an own one.
OWN_PASSWORD = "account_change_password"
FIRST = {OWN_PASSWORD, "account_reauthenticate", "mfa_reauthenticate", "mfa_reauthenticate_webauthn"}


# What a device asks for without anybody touching it must not keep its session alive.
BY_ITSELF = "X-By-Itself"


class SessionLimits:
    """Ends a session that was idle or lasted too long."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Pass a request on, without its person where their session has ended."""
        if request.user.is_authenticated:
            now = timezone.now()
            if sessions.has_ended(request, now):
                minutes = int(sessions.idle_limit(request.user.role).total_seconds() // 60)
                sessions.end(request)
                messages.info(request, ended_words(minutes))
            elif BY_ITSELF not in request.headers:
                sessions.note_seen(request, now)
        return self.answer(request)


class TableOfAccess:
    """Lets a request through where the table of access opens its door to whoever asks."""

    def __init__(self, answer: Answer) -> None:
        self.answer = answer

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Pass a request on; it is judged once its view is known."""
        return self.answer(request)

    def process_view(self, request: HttpRequest, *_: Any) -> HttpResponseBase | None:
        """Refuse, ask to sign in, or let through."""
        name = cast(ResolverMatch, request.resolver_match).view_name
        act = act_of(name, str(request.method))
        if act == OPEN or name.startswith(ASKS_ITSELF):
            return None
        if act is None and (door := door_of(name)):
            return HttpResponseNotAllowed(sorted(door))
        if not request.user.is_authenticated:
            return to_sign_in(cast(ScreenRequest, request))
        if request.user.must_change_password and name not in FIRST:
            return redirect(OWN_PASSWORD)
        if not may_do(request.user, act):
            raise PermissionDenied(act or name)
        return None


def may_do(person: Person, act: str | None) -> bool:
    """Return whether a person may do an act; what the table does not name is nobody's."""
    return act is not None and person.may(act) and (act != STAFF_ACT or person.is_staff)


def ended_words(minutes: int) -> str:
    """Return what is said to a person whose session has ended."""
    return (
        f"You were signed out: a session ends after {count_text(minutes, 'minute')} without use, and once a shift. "
        "Sign in to go on where you were."
    )

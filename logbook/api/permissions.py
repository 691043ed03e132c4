"""Whether the person behind a request may do what is asked, by the one table of access."""

from typing import Any, cast

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from logbook.access import OPEN, act_of
from logbook.models import ApiToken, Person


class MayAct(BasePermission):
    """Asks the table for the act of the address and method, then the person's role, then the token's scope."""

    code = "role_may_not"

    def has_permission(self, request: Request, view: Any) -> bool:
        act = self._act(request)
        if act == OPEN:
            return True
        person: Any = request.user
        return (
            bool(person.is_authenticated)
            and self._has_own_password(person)
            and self._role_may(person, act)
            and self._scope_may(cast("ApiToken | None", request.auth), act)
        )

    def _act(self, request: Request) -> str:
        """Return the act asked for; a method that no door has is refused later, by the view."""
        match = request._request.resolver_match
        return (match and act_of(match.view_name, str(request.method))) or "read"

    def _has_own_password(self, person: Person) -> bool:
        if not person.must_change_password:
            return True
        self.code = "own_password_needed"
        self.message = "Sign in on the screen and set a password of your own first."
        return False

    def _role_may(self, person: Person, act: str) -> bool:
        self.message = f"This is not for the role {person.get_role_display() or 'none'} ({act})."
        return person.may(act)

    def _scope_may(self, token: ApiToken | None, act: str) -> bool:
        if token is None or token.may(act):
            return True
        self.code = "scope_may_not"
        self.message = f"This token is not for that: it may {token.get_scope_display().lower()} ({act})."
        return False

"""Whether the person behind a request may do what is asked, by the one table of access."""

from typing import Any

from rest_framework.permissions import BasePermission
from rest_framework.request import Request


class MayAct(BasePermission):
    """Asks the table for the act that a view names for its action or method; "read" where it names none."""

    code = "role_may_not"

    def has_permission(self, request: Request, view: Any) -> bool:
        person = request.user
        if not person.is_authenticated:
            return False
        asked = getattr(view, "action", None) or str(request.method).lower()
        act = getattr(view, "acts", {}).get(asked, "read")
        self.message = f"This is not for the role {person.get_role_display() or 'none'} ({act})."
        return bool(person.may(act))

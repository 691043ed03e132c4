"""The frame of the admin: who comes in is decided by the table of access, and by the flag of staff."""

from typing import Any

from django.contrib.admin import AdminSite
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from logbook.access import STAFF_ACT


class ReadingSite(AdminSite):
    """A reading room: signing in and passwords have their screens elsewhere."""

    site_header = site_title = "Embermark, for staff"
    index_title = "Records of your operator, to read"

    def has_permission(self, request: HttpRequest) -> bool:
        """Return whether staff asks whose role the table lets in."""
        user: Any = request.user
        return bool(user.is_active and user.is_staff and user.may(STAFF_ACT))

    def login(self, request: HttpRequest, extra_context: Any = None) -> HttpResponse:
        """Leave signing in to the one screen for it."""
        return redirect("sign_in")

    def password_change(self, request: HttpRequest, extra_context: Any = None) -> Any:
        """Leave passwords to the one screen for them."""
        return redirect("account_change_password")

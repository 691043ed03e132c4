"""The frame of the admin: who comes in is decided by the table of access, and by the flag of staff."""

from typing import Any

from django.contrib.admin import AdminSite, ModelAdmin
from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from logbook.access import STAFF_ACT


class Reading(ModelAdmin):
    """Records to read, of one operator; ``of_operator`` is the way from a record to its operator."""

    of_operator = "operator"

    def get_queryset(self, request: HttpRequest) -> QuerySet[Model]:
        """Return what belongs to the operator of whoever asks."""
        user: Any = request.user
        return super().get_queryset(request).filter(**{self.of_operator: user.operator_id or 0})

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Return that whoever came in may read."""
        return self.admin_site.has_permission(request)

    def has_module_permission(self, request: HttpRequest) -> bool:
        """Return that whoever came in sees the list of records."""
        return self.admin_site.has_permission(request)

    def has_add_permission(self, request: HttpRequest, *_: Any) -> bool:
        """Return that nothing is added here."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Return that nothing is changed here."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Return that nothing is deleted here."""
        return False


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

    def register(self, model_or_iterable: Any, admin_class: type[ModelAdmin] | None = None, **options: Any) -> None:
        """Take only what is made for this site: what other packages register would be open to write."""
        if admin_class is not None and issubclass(admin_class, Reading):
            super().register(model_or_iterable, admin_class, **options)

"""The top floor: people, entries, prints, the site and the doors."""

from django.apps import AppConfig
from django.contrib.admin import apps as admin_apps
from django.contrib.auth.signals import user_logged_in
from django.db.models.signals import post_migrate


class LogbookConfig(AppConfig):
    """Settings of the app."""

    name = "logbook"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Count sessions from when they begin, and have the database guard what is kept."""
        from logbook.ledger.guards import guards_after_migrating
        from logbook.sessions import begun

        user_logged_in.connect(begun, dispatch_uid="logbook.sessions.begun")
        post_migrate.connect(guards_after_migrating, sender=self, dispatch_uid="logbook.ledger.guards")


class LogbookAdminConfig(admin_apps.AdminConfig):
    """The admin, in our form."""

    default = False
    default_site = "logbook.staff.ReadingSite"

"""The top floor: people, entries, prints, the site and the doors."""

from django.apps import AppConfig


class LogbookConfig(AppConfig):
    """Settings of the app."""

    name = "logbook"
    default_auto_field = "django.db.models.BigAutoField"

"""What a run calls for, until it is done and released."""

from django.apps import AppConfig


class InspectionsConfig(AppConfig):
    """Settings of the app."""

    name = "inspections"
    default_auto_field = "django.db.models.BigAutoField"

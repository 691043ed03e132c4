"""The ground floor: types, limits, engines, parts, runs and traces."""

from django.apps import AppConfig


class EnginesConfig(AppConfig):
    """Settings of the app."""

    name = "engines"
    default_auto_field = "django.db.models.BigAutoField"

"""The addresses of starts: one start, how an engine's starts drift, and first-start plans."""

from django.urls import path

from logbook.views import checks, drift, first_starts, start

START = "runs/<uuid:pk>/starts/<int:place>"

urlpatterns = [
    path(f"{START}/", start.start_detail, name="start_detail"),
    path(f"{START}/print.pdf", start.start_print, name="start_print"),
    path("engines/<int:pk>/checks/", checks.check_add, name="check_add"),
    path("checks/<uuid:pk>/", checks.check_detail, name="check_detail"),
    path("checks/<uuid:pk>/print.pdf", checks.check_print, name="check_print"),
    path("engines/<int:pk>/first-starts/", first_starts.first_start_list, name="first_start_list"),
    path("first-starts/<int:pk>/", first_starts.first_start_detail, name="first_start_detail"),
    path("first-starts/<int:pk>/sign/", first_starts.first_start_sign, name="first_start_sign"),
    path("first-starts/<int:pk>/print.pdf", first_starts.first_start_print, name="first_start_print"),
    path("engines/<int:pk>/starts/drift/", drift.start_drift, name="start_drift"),
    path("engines/<int:pk>/starts/drift.pdf", drift.drift_print, name="drift_print"),
]

"""The addresses of the operator's own limits, power and condition trend."""

from django.urls import path

from logbook.views import advisory

urlpatterns = [
    path("engines/<int:pk>/own-limits/", advisory.engine_advisory, name="engine_advisory"),
    path("engines/<int:pk>/own-limits.pdf", advisory.advisory_print, name="advisory_print"),
]

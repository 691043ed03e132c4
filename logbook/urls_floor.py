"""Addresses of the work at the engine: timing events, handing a job over."""

from django.urls import path

from logbook.views import timer

urlpatterns = [
    path("engines/<int:pk>/timer/", timer.run_timer, name="run_timer"),
]

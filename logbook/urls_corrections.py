"""Addresses of correcting what is recorded and signed."""

from django.urls import path

from logbook.views import corrections

urlpatterns = [
    path("runs/<uuid:pk>/correct/", corrections.run_correct, name="run_correct"),
    path("runs/<uuid:pk>/void/", corrections.run_void, name="run_void"),
    path("entries/<int:number>/correct/", corrections.entry_correct, name="entry_correct"),
]

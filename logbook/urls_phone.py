"""Addresses of the phone's program; the worker stands at the root, because it looks after the whole site."""

from django.urls import path

from logbook.views import phone

urlpatterns = [
    path("sw.js", phone.worker, name="worker"),
    path("manifest.webmanifest", phone.manifest, name="manifest"),
    path("offline/", phone.offline, name="offline"),
    path("not-sent-yet/", phone.unsent_list, name="unsent_list"),
]

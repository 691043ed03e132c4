"""The site map."""

from django.urls import path

urlpatterns: list[object] = [path]
urlpatterns.clear()

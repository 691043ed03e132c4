"""Addresses of maintenance beside exceedances: work, discrepancies, the rules of release."""

from django.urls import path

from logbook.views import rules

urlpatterns = [
    path("rules/", rules.rules_detail, name="rules_detail"),
    path("rules/<slug:outcome>/", rules.template_change, name="template_change"),
]

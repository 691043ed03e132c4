"""Addresses of maintenance beside exceedances: work, discrepancies, the rules of release."""

from django.urls import path

from logbook.views import looks, maintenance, publications, rules

urlpatterns = [
    path("rules/", rules.rules_detail, name="rules_detail"),
    path("rules/<slug:outcome>/", rules.template_change, name="template_change"),
    path("engines/<int:pk>/maintenance/<slug:kind>/", maintenance.work_add, name="work_add"),
    path("work/", maintenance.work_list, name="work_list"),
    path("work/<int:pk>/", maintenance.work_detail, name="work_detail"),
    path("work/<int:pk>/change/", maintenance.work_change, name="work_change"),
    path("work/<int:pk>/second/", looks.work_second, name="work_second"),
    path("work/<int:pk>/second/refuse/", looks.work_refuse, name="work_refuse"),
    path("work/<int:pk>/second/rework/", looks.work_rework, name="work_rework"),
    path("work/<int:pk>/drop/", maintenance.work_drop, name="work_drop"),
    path("work/<int:pk>/sign/", maintenance.work_sign, name="work_sign"),
    path("documents/", publications.publication_list, name="publication_list"),
    path("documents/<int:pk>/copy/", publications.publication_file, name="publication_file"),
    path("required/", looks.required_list, name="required_list"),
    path("discrepancies/", maintenance.discrepancy_list, name="discrepancy_list"),
]

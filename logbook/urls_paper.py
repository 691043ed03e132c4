"""The addresses of paper: sets of entries, and what an engine's record is printed as."""

from django.urls import path

from logbook.views import print_sets

urlpatterns = [
    path("prints/", print_sets.print_set, name="print_set"),
    path("prints/<uuid:pk>/", print_sets.print_job, name="print_job"),
    path("prints/<uuid:pk>/set.pdf", print_sets.print_job_file, name="print_job_file"),
]

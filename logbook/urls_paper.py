"""The addresses of paper: sets of entries, and what an engine's record is printed as."""

from django.urls import path

from logbook.views import engine_papers, print_sets

urlpatterns = [
    path("prints/", print_sets.print_set, name="print_set"),
    path("prints/make/", print_sets.print_make, name="print_make"),
    path("prints/<uuid:pk>/", print_sets.print_job, name="print_job"),
    path("prints/<uuid:pk>/set.pdf", print_sets.print_job_file, name="print_job_file"),
    path("engines/<int:pk>/status.pdf", engine_papers.status_print, name="status_print"),
    path("engines/<int:pk>/card.pdf", engine_papers.card_print, name="card_print"),
    path("engines/<int:pk>/discrepancies.pdf", engine_papers.discrepancies_print, name="discrepancies_print"),
    path("engines/<int:pk>/open-items.pdf", engine_papers.open_items_print, name="open_items_print"),
]

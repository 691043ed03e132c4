"""Addresses of the work at the engine: timing events, handing a job over."""

from django.urls import path

from logbook.views import handover, signing, timer

urlpatterns = [
    path("engines/<int:pk>/timer/", timer.run_timer, name="run_timer"),
    path("handover/", handover.handover_list, name="handover_list"),
    path("inspections/<int:pk>/handover/", handover.handover_give, name="handover_give"),
    path("handover/<int:pk>/take/", handover.handover_take, name="handover_take"),
    path("runs/<uuid:pk>/sign/", signing.run_sign, name="run_sign"),
    path("to-sign/", signing.unsigned_list, name="unsigned_list"),
]

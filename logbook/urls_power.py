"""The addresses of the operator's own limits, power and condition trend."""

from django.urls import path

from logbook.views import advisory, power

urlpatterns = [
    path("engines/<int:pk>/own-limits/", advisory.engine_advisory, name="engine_advisory"),
    path("engines/<int:pk>/own-limits.pdf", advisory.advisory_print, name="advisory_print"),
    path("engines/<int:pk>/power/", power.engine_power, name="engine_power"),
    path("engines/<int:pk>/power/checks/", power.power_check_add, name="power_check_add"),
    path("engines/<int:pk>/power.pdf", power.power_print, name="power_print"),
    path("engines/<int:pk>/settings.pdf", power.settings_print, name="settings_print"),
    path("engines/<int:pk>/trend/", power.engine_trend, name="engine_trend"),
    path("engines/<int:pk>/trend.pdf", power.trend_print, name="trend_print"),
    path("runs/<uuid:pk>/power.pdf", power.run_power_print, name="run_power_print"),
    path("runs/<uuid:pk>/power/", power.run_power, name="run_power"),
    path("runs/<uuid:pk>/power/keep/", power.setting_keep, name="setting_keep"),
]

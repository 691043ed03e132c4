"""The site map: a screen is a name here, a view and a template of that name."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

from logbook.views import (
    accounts,
    engines,
    entries,
    inspections,
    limits,
    prints,
    record,
    runs,
    signing,
    sources,
    starts,
    traces,
    work,
)

EXCURSION = "runs/<uuid:pk>/judgements/<int:judgement>/excursions/<int:place>"

# Called where a request is refused before any screen is reached.
handler400 = "logbook.api.problems.bad_request"

urlpatterns = [
    path("", RedirectView.as_view(pattern_name="engine_list"), name="home"),
    path("sign-in/", accounts.sign_in, name="sign_in"),
    path("sign-out/", accounts.sign_out, name="sign_out"),
    path("my-access/", accounts.token_list, name="token_list"),
    path("my-access/tokens/", accounts.token_add, name="token_add"),
    path("my-access/tokens/<int:pk>/revoke/", accounts.token_revoke, name="token_revoke"),
    path("engines/", engines.engine_list, name="engine_list"),
    path("engines/<int:pk>/", engines.engine_detail, name="engine_detail"),
    path("engines/<int:pk>/record/", record.run_record, name="run_record"),
    path("engines/<int:pk>/times/", sources.engine_times, name="engine_times"),
    path("engines/<int:pk>/starts/", starts.engine_starts, name="engine_starts"),
    path("engines/<int:pk>/starts.pdf", starts.starts_print, name="starts_print"),
    path("engines/<int:pk>/log.pdf", prints.log_print, name="log_print"),
    path("runs/<uuid:pk>/", runs.run_detail, name="run_detail"),
    path("runs/<uuid:pk>/trace/", traces.trace_add, name="trace_add"),
    path("runs/<uuid:pk>/files/<int:trace>/", sources.trace_file, name="trace_file"),
    path("runs/<uuid:pk>/judgements/<int:judgement>/usage/", sources.usage_source, name="usage_source"),
    path(f"{EXCURSION}/", sources.excursion_source, name="excursion_source"),
    path(f"{EXCURSION}/samples.csv", sources.excursion_samples, name="excursion_samples"),
    path("runs/<uuid:pk>/judgements/<int:judgement>/repeats/<int:place>/", sources.repeat_source, name="repeat_source"),
    path("inspections/<int:pk>/", inspections.inspection_detail, name="inspection_detail"),
    path("inspections/<int:pk>/begin/", work.inspection_begin, name="inspection_begin"),
    path("inspections/<int:pk>/steps/<int:step>/", work.step_answer, name="step_answer"),
    path("inspections/<int:pk>/findings/", work.finding_add, name="finding_add"),
    path("inspections/<int:pk>/actions/", work.action_add, name="action_add"),
    path("inspections/<int:pk>/cause/", work.cause_set, name="cause_set"),
    path("inspections/<int:pk>/second/", work.inspection_second, name="inspection_second"),
    path("inspections/<int:pk>/sign/", signing.inspection_sign, name="inspection_sign"),
    path("entries/", entries.entry_list, name="entry_list"),
    path("entries/<int:number>/", entries.entry_detail, name="entry_detail"),
    path("entries/<int:number>/print.pdf", prints.entry_print, name="entry_print"),
    path("limits/", limits.limits_list, name="limits_list"),
    path("limits/<int:pk>/", limits.limits_detail, name="limits_detail"),
    path("limits/<int:pk>/adopt/", limits.limits_adopt, name="limits_adopt"),
    path("limits/types/<int:pk>/enter/", limits.limits_enter, name="limits_enter"),
    path("", include("logbook.urls_accounts")),
    path("", include("logbook.urls_corrections")),
    path("", include("logbook.urls_desk")),
    path("", include("logbook.urls_due")),
    path("", include("logbook.urls_floor")),
    path("", include("logbook.urls_parts")),
    path("", include("logbook.urls_power")),
    path("", include("logbook.urls_starts")),
    path("", include("logbook.urls_photos")),
    path("", include("logbook.urls_work")),
    path("", include("logbook.urls_record")),
    path("", include("logbook.urls_paper")),
    path("", include("logbook.urls_packages")),
    path("", include("logbook.urls_phone")),
    path("api/v1/", include("logbook.api.urls")),
    path("admin/", admin.site.urls),
]

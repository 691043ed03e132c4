"""The addresses of parts with a limit."""

from django.urls import path

from logbook.views import part_acts, part_drafts, parts

urlpatterns = [
    path("engines/<int:pk>/parts/", parts.part_list, name="part_list"),
    path("engines/<int:pk>/parts.pdf", parts.parts_print, name="parts_print"),
    path("parts/", parts.part_index, name="part_index"),
    path("parts/list/", part_acts.parts_bulk, name="parts_bulk"),
    path("parts/list.csv", part_acts.parts_bulk_template, name="parts_bulk_template"),
    path("parts/sent/<uuid:pk>/", part_drafts.part_draft, name="part_draft"),
    path("parts/sent/<uuid:pk>/drop/", part_drafts.part_draft_drop, name="part_draft_drop"),
    path("parts/add/", part_acts.part_add, name="part_add"),
    path("parts/<int:pk>/", parts.part_detail, name="part_detail"),
    path("parts/<int:pk>/history.pdf", parts.part_print, name="part_print"),
    path("parts/<int:pk>/fit/", part_acts.part_fit, name="part_fit"),
    path("parts/<int:pk>/remove/", part_acts.part_remove, name="part_remove"),
    path("parts/<int:pk>/move/", part_acts.part_move, name="part_move"),
    path("parts/<int:pk>/send/", part_acts.part_send, name="part_send"),
    path("parts/gone/<int:pk>/back/", part_acts.part_return, name="part_return"),
    path("parts/<int:pk>/strike/", part_acts.part_strike, name="part_strike"),
    path("parts/<int:pk>/limits/add/", part_acts.limit_add, name="limit_add"),
    path("parts/<int:pk>/limits/<int:limit>/", parts.limit_detail, name="limit_detail"),
    path("parts/<int:pk>/limits/<int:limit>/replace/", part_acts.limit_replace, name="limit_replace"),
    path("parts/<int:pk>/limits/<int:limit>/done/", part_acts.part_done, name="part_done"),
]

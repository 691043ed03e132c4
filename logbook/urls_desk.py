"""The addresses of whoever runs the work: lists to take away, saved views, what is to be settled, people."""

from django.urls import path

from logbook.views import account_keeping, beside, concerns, engines, keying, lists, people, saved, units, work

urlpatterns = [
    path("inspections/", lists.inspection_list, name="inspection_list"),
    path("inspections/give/", lists.inspections_assign, name="inspections_assign"),
    path("inspections/list.pdf", lists.inspection_list_print, name="inspection_list_print"),
    path("inspections/list.<slug:form>", lists.inspection_table, name="inspection_table"),
    path("inspections/<int:pk>/beside/", beside.inspection_beside, name="inspection_beside"),
    path("inspections/<int:pk>/notes/", work.note_add, name="note_add"),
    path("entries/list.<slug:form>", lists.entry_table, name="entry_table"),
    path("engines/<int:pk>/book/", engines.engine_record, name="engine_record"),
    path("engines/list.<slug:form>", lists.engine_table, name="engine_table"),
    path("limits/<int:pk>/key/<int:place>/", keying.limits_key, name="limits_key"),
    path("to-settle/", concerns.concern_list, name="concern_list"),
    path("to-settle/list.<slug:form>", concerns.concern_table, name="concern_table"),
    path("to-settle/<int:pk>/", concerns.concern_detail, name="concern_detail"),
    path("people/", people.person_list, name="person_list"),
    path("people/add/", account_keeping.person_add, name="person_add"),
    path("people/<int:pk>/role/", account_keeping.person_role, name="person_role"),
    path("people/<int:pk>/password/", account_keeping.person_password, name="person_password"),
    path("people/<int:pk>/", people.person_detail, name="person_detail"),
    path("people/<int:pk>/certificates/", people.certificate_add, name="certificate_add"),
    path("people/<int:pk>/close/", people.person_deactivate, name="person_deactivate"),
    path("people/<int:pk>/open/", people.person_restore, name="person_restore"),
    path("people/inspections/", people.authorization_list, name="authorization_list"),
    path("people/inspections/add/", people.authorization_add, name="authorization_add"),
    path("people/inspections/list.pdf", people.authorization_print, name="authorization_print"),
    path("people/inspections/<int:pk>/end/", people.authorization_end, name="authorization_end"),
    path("my-access/units/", units.units_set, name="units_set"),
    path("views/", saved.view_list, name="view_list"),
    path("views/keep/", saved.view_keep, name="view_keep"),
    path("views/<uuid:pk>/", saved.view_open, name="view_open"),
    path("views/<uuid:pk>/change/", saved.view_change, name="view_change"),
    path("views/<uuid:pk>/drop/", saved.view_drop, name="view_drop"),
]

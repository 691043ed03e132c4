"""The addresses of what comes due: tasks, inspection programmes, lists, and what leaves the site about them."""

from django.urls import path

from logbook.views import due, notices, programmes, tasks

TASK = "engines/<int:pk>/tasks/<slug:key>"

urlpatterns = [
    path("due/", due.due_list, name="due_list"),
    path("due/list.<slug:form>", due.due_table, name="due_table"),
    path("engines/<int:pk>/due/", due.engine_due, name="engine_due"),
    path("engines/<int:pk>/programme/", programmes.engine_programme, name="engine_programme"),
    path("engines/<int:pk>/programme/select/", programmes.programme_select, name="programme_select"),
    path("engines/<int:pk>/tasks.pdf", due.tasks_print, name="tasks_print"),
    path("engines/<int:pk>/tasks/", tasks.task_add, name="task_add"),
    path("calendar/<slug:secret>.ics", notices.calendar_feed, name="calendar_feed"),
    path("my-access/calendar/", notices.calendar_add, name="calendar_add"),
    path("my-access/calendar/revoke/", notices.calendar_revoke, name="calendar_revoke"),
    path("my-access/mails/", notices.digest_set, name="digest_set"),
    path("mails/stop/<str:key>/", notices.digest_stop, name="digest_stop"),
    path(f"{TASK}/", tasks.task_detail, name="task_detail"),
    path("parts/<int:pk>/tasks/<slug:key>/", tasks.part_task, name="part_task"),
    path(f"{TASK}/extend/", tasks.task_extend, name="task_extend"),
    path("parts/<int:pk>/tasks/<slug:key>/extend/", tasks.part_task_extend, name="part_task_extend"),
]

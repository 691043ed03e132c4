"""The addresses of the record as a whole: checking a print, checkpoints, backups, how records are kept."""

from django.urls import path

from logbook.views import checking, record_state

urlpatterns = [
    path("check/", checking.check, name="check"),
    path("check/<str:code>/", checking.check_entry, name="check_entry"),
    path("record/", record_state.record_state, name="record_state"),
    path("record/checkpoint/", record_state.checkpoint_add, name="checkpoint_add"),
    path("record/checkpoints/<int:size>.txt", record_state.checkpoint_note, name="checkpoint_note"),
    path("record/description/", record_state.record_description, name="record_description"),
    path("entries/<int:number>/proof.json", record_state.entry_proof, name="entry_proof"),
]

"""Notes on an inspection: what whoever runs the work wants the next person to know."""

from django.conf import settings
from django.db import models

from engines.models.kept import Kept
from inspections.models.work import Inspection


class InspectionNote(Kept):
    """A note beside an inspection; it is no part of the signed record, and is only ever added."""

    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="notes")
    text = models.TextField()
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    written_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.text

"""Handing an open job over: what the outgoing person says, and the incoming person's taking of it."""

from django.conf import settings
from django.db import models

from engines.models.kept import Kept
from inspections.models.work import Inspection


class Handover(Kept):
    """An open inspection handed to a person who was told face to face; it closes nothing, and stays as written."""

    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="handovers")
    done = models.TextField()
    not_done = models.TextField()
    watch_for = models.TextField()
    parts_off = models.TextField()
    told_to = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.inspection} handed over to {self.told_to}"


class Taking(Kept):
    """That the person who was told has taken the job, by name."""

    handover = models.OneToOneField(Handover, on_delete=models.PROTECT, related_name="taking")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"Taken by {self.by}"

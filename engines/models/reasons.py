"""Why a figure that was asked about is so all the same."""

from django.conf import settings
from django.db import models

from engines.models.kept import Kept
from engines.models.runs import Run


class TypedReason(Kept):
    """What was asked about a figure of a run when it was recorded, and the reason that was typed."""

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="reasons")
    field = models.CharField(max_length=160, help_text="What the figure is called on the sheet.")
    value = models.CharField(max_length=80)
    question = models.CharField(max_length=400)
    reason = models.CharField(max_length=240)
    correction = models.PositiveSmallIntegerField(default=0, help_text="Number of the correction that it came with.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.field}, {self.value}: {self.reason}"

"""Corrections of runs; what was stated before stays readable beside what is stated now."""

from django.conf import settings
from django.db import models

from engines.models.kept import Kept
from engines.models.runs import Run


class RunCorrection(Kept):
    """One correction of a run: what was stated of it before and what is since, why, by whom and when.

    ``was`` and ``stated`` hold what ``engines.evidence.RunFacts`` holds, without readings and reasons: these are rows
    of their own that carry the correction's number, 0 for those as first recorded.
    """

    class How(models.TextChoices):
        """What the correction does."""

        SUPERSEDED = "superseded", "Corrected"
        VOID = "void", "Void"

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="corrections")
    number = models.PositiveSmallIntegerField(help_text="From 1, in the order of being made.")
    how = models.CharField(max_length=20, choices=How)
    was = models.JSONField()
    stated = models.JSONField()
    why = models.TextField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["run", "number"], name="run_correction_once")]

    def __str__(self) -> str:
        return f"{self.get_how_display()}: {self.why}"

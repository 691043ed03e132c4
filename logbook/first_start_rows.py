"""Which signed entry a first-start plan ended with."""

from django.db import models

from engines.models import FirstStartEnd
from engines.models.kept import Kept
from logbook.ledger.rows import Entry


class FirstStartEntry(Kept):
    """The entry that was signed when a plan ended."""

    plan_end = models.OneToOneField(FirstStartEnd, on_delete=models.PROTECT, related_name="signed")
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="first_start_end")

    class Meta:
        verbose_name_plural = "first-start entries"

    def __str__(self) -> str:
        return f"{self.plan_end}, {self.entry}"

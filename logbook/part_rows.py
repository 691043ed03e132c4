"""Which row of the record an entry about a part states, so that a correction of the entry finds it."""

from django.db import models

from engines.models import PartDone, PartLimit, PartMovement
from engines.models.kept import Kept
from logbook.ledger.rows import Entry


class PartStatement(Kept):
    """What an entry states about a part: a line of its ledger, that an interval was met, or a limit."""

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="part_statements")
    movement = models.ForeignKey(
        PartMovement, null=True, blank=True, on_delete=models.PROTECT, related_name="statements"
    )
    done = models.ForeignKey(PartDone, null=True, blank=True, on_delete=models.PROTECT, related_name="statements")
    limit = models.ForeignKey(PartLimit, null=True, blank=True, on_delete=models.PROTECT, related_name="statements")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.entry}: {self.movement or self.done or self.limit}"

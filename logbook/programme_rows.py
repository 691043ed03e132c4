"""Which signed entry states the selection of an inspection programme."""

from django.db import models

from engines.models import ProgrammeSelection
from engines.models.kept import Kept
from logbook.ledger.rows import Entry


class ProgrammeEntry(Kept):
    """The entry by which a selection was signed; what an earlier owner selected has none here."""

    selection = models.OneToOneField(ProgrammeSelection, on_delete=models.PROTECT, related_name="signed")
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="programme_selection")

    class Meta:
        verbose_name_plural = "programme entries"

    def __str__(self) -> str:
        return f"{self.selection}, {self.entry}"

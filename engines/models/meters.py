"""Changes of an engine's hour meter."""

from django.conf import settings
from django.db import models

from engines.models.fleet import Engine
from engines.models.kept import Kept


class MeterChange(Kept):
    """An hour meter that was replaced or set back: its last reading and the first one after. [h]

    A correction is a new row that says which one it replaces; the newest of them stands.
    """

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="meter_changes")
    at = models.DateTimeField()
    old_h = models.DecimalField(max_digits=10, decimal_places=2)
    new_h = models.DecimalField(max_digits=10, decimal_places=2)
    why = models.TextField()
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.old_h} h became {self.new_h} h"

"""Parts with times of their own, and the ledger of where they were fitted."""

from django.conf import settings
from django.db import models

from engines.models.fleet import Engine, Operator


class Component(models.Model):
    """A part by part number and serial, with what it had used when its record here began."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="components")
    part_number = models.CharField(max_length=60)
    serial = models.CharField(max_length=60)
    description = models.CharField(max_length=120, blank=True)
    brought_run_time_s = models.PositiveBigIntegerField(default=0)
    brought_starts = models.PositiveIntegerField(default=0)
    brought_cycles = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["part_number", "serial"]
        constraints = [
            models.UniqueConstraint(fields=["operator", "part_number", "serial"], name="component_serial_once")
        ]

    def __str__(self) -> str:
        return f"{self.part_number} {self.serial}"


class PartMovement(models.Model):
    """One line of the fitted and removed ledger; lines are only ever added."""

    class Kind(models.TextChoices):
        """What happened to the part."""

        FITTED = "fitted", "Fitted"
        REMOVED = "removed", "Removed"

    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=10, choices=Kind)
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="part_movements")
    position = models.CharField(max_length=60, blank=True)
    at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.component} {self.kind} {self.engine}"

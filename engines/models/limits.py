"""Limits of parts, revision after revision, and when an overhaul or an inspection was last done to a part."""

import uuid
from fractions import Fraction

from django.conf import settings
from django.db import models

from engines.counters import CALENDAR, COUNT, DAYS, EQUIVALENT, MONTHS, SECONDS
from engines.lives import Limit
from engines.models.fleet import Operator
from engines.models.kept import Kept
from engines.models.parts import Component


class PartLimit(Kept):
    """One revision of one limit of a part number, of all serials or of one; a newer revision replaces it.

    ``amount`` and ``tolerance`` are in ``unit``. ``weight`` is what a partial cycle counts for, as a decimal.
    """

    class Kind(models.TextChoices):
        """What the limit ends."""

        LIFE = "life", "Life limit"
        OVERHAUL = "overhaul", "Overhaul interval"
        INSPECTION = "inspection", "Inspection interval"

    class Parameter(models.TextChoices):
        """What every type counts, or what is derived from it; a type's own counters go by their names."""

        TIME_IN_SERVICE = "time_in_service", "Time in service"
        RUN_TIME = "run_time", "Run time"
        STARTS = "starts", "Starts"
        CYCLES = "cycles", "Full cycles"
        EQUIVALENT = EQUIVALENT, "Equivalent cycles"
        CALENDAR = CALENDAR, "Calendar time"

    class Unit(models.TextChoices):
        """Units of an amount."""

        SECONDS = SECONDS, "h"
        COUNT = COUNT, "pieces"
        DAYS = DAYS, "days"
        MONTHS = MONTHS, "months"

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="part_limits")
    key = models.UUIDField(default=uuid.uuid4, editable=False, help_text="The same from revision to revision.")
    part_number = models.CharField(max_length=60)
    serial = models.CharField(max_length=60, blank=True, help_text="Of one serial only; empty: of all.")
    kind = models.CharField(max_length=12, choices=Kind)
    parameter = models.CharField(max_length=60)
    amount = models.PositiveBigIntegerField()
    unit = models.CharField(max_length=8, choices=Unit)
    weight = models.DecimalField(max_digits=9, decimal_places=6, default=0)
    tolerance = models.PositiveBigIntegerField(default=0)
    source = models.CharField(max_length=240)
    source_revision = models.CharField(max_length=60)
    remarks = models.CharField(max_length=240, blank=True)
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    is_correction = models.BooleanField(
        default=False, help_text="It states anew what was entered wrong from the same source, and raises nothing."
    )
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["part_number", "serial", "pk"]
        indexes = [models.Index(fields=["operator", "part_number"], name="limit_by_part_number")]

    def __str__(self) -> str:
        return f"{self.part_number}{f' {self.serial}' if self.serial else ''}: {self.get_kind_display()}"

    @property
    def limit(self) -> Limit:
        """Return the limit as the computation needs it."""
        return Limit(
            parameter=self.parameter,
            amount=self.amount,
            unit=self.unit,
            kind=self.kind,  # type: ignore[arg-type]
            weight=Fraction(self.weight),
            tolerance=self.tolerance,
            source=self.source,
            revision=self.source_revision,
            key=str(self.key),
        )


class PartDone(Kept):
    """An overhaul or an inspection of a part, done for one of its intervals, by which the interval begins anew.

    ``life`` holds what the part had used by then, where that lies before its record here; else it is told by where
    the part ran. A correction is a new row that says which one it replaces; the newest of them stands.
    """

    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="done")
    limit = models.ForeignKey(PartLimit, on_delete=models.PROTECT, related_name="done")
    at = models.DateTimeField()
    life = models.JSONField(null=True, blank=True)
    reference = models.CharField(max_length=240)
    tested_by = models.CharField(max_length=240, blank=True, help_text="The test after an overhaul.")
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.component}: {self.limit.get_kind_display()} done {self.at:%Y-%m-%d}"

"""Operators, engine types with every revision of their limits, and engines."""

import json
from functools import lru_cache
from typing import Any, Final

from django.conf import settings
from django.db import models

from engines.charts import EngineTypeData
from engines.documents import engine_type_read
from engines.times import Times

READ_AT_ONCE: Final = 64  # documents that are kept as they were read


class Operator(models.Model):
    """Who owns the records; nobody sees another operator's."""

    name = models.CharField(max_length=120, unique=True)
    place = models.CharField(max_length=120, blank=True)
    is_demo = models.BooleanField(default=False, help_text="Everything of this operator is invented.")

    def __str__(self) -> str:
        return self.name

    @property
    def named(self) -> dict[str, Any]:
        """Return whose record an entry is of, as its body says it."""
        return {"operator": self.name, "place": self.place, "is_demo": self.is_demo}


class EngineType(models.Model):
    """One type of engine as an operator keeps it."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="engine_types")
    name = models.CharField(max_length=120)

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["operator", "name"], name="engine_type_name_once")]

    def __str__(self) -> str:
        return self.name


class TypeRevision(models.Model):
    """One revision of a type's document: channels, segmentation, limit charts.

    A revision judges runs from its date on once it is adopted. The first of a type is adopted as it is
    entered, in force from the beginning; every later one when a second person has checked it.
    """

    engine_type = models.ForeignKey(EngineType, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    document = models.JSONField()
    source = models.CharField(max_length=240, blank=True)
    in_force_from = models.DateField(null=True, blank=True)
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField(auto_now_add=True)
    checked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    checked_at = models.DateTimeField(null=True, blank=True)
    is_adopted = models.BooleanField(default=False)

    class Meta:
        ordering = ["engine_type", "number"]
        constraints = [models.UniqueConstraint(fields=["engine_type", "number"], name="type_revision_number_once")]

    def __str__(self) -> str:
        return f"{self.engine_type.name}, limits revision {self.number}"

    @property
    def data(self) -> EngineTypeData:
        """Return the document as the computation needs it."""
        return _read(json.dumps(self.document))


@lru_cache(maxsize=READ_AT_ONCE)
def _read(document: str) -> EngineTypeData:
    """Return what a document says, read once however often one request asks; what is read can't be changed."""
    return engine_type_read(json.loads(document))


class Engine(models.Model):
    """One engine, by serial number, with what it had used when its record here began.

    ``left_at`` ends its record here. One that comes back gets a row of its own, which holds its whole history.
    """

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="engines")
    engine_type = models.ForeignKey(EngineType, on_delete=models.PROTECT, related_name="engines")
    serial = models.CharField(max_length=60)
    fitted_to = models.CharField(max_length=120, blank=True, help_text="Aircraft, test stand or shelf.")
    position = models.CharField(max_length=60, blank=True)
    opening_run_time_s = models.PositiveBigIntegerField(default=0)
    opening_time_in_service_s = models.PositiveBigIntegerField(default=0)
    opening_starts = models.PositiveIntegerField(default=0)
    opening_cycles = models.PositiveIntegerField(default=0)
    opening_partial_cycles = models.PositiveIntegerField(default=0)
    opening_other = models.JSONField(default=dict, blank=True)
    overhauled_on = models.DateField(null=True, blank=True)
    left_at = models.DateTimeField(null=True, blank=True, help_text="When it was handed over to another owner.")
    left_to = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["serial"]
        constraints = [
            models.UniqueConstraint(
                fields=["operator", "serial"], condition=models.Q(left_at__isnull=True), name="engine_serial_once"
            )
        ]

    def __str__(self) -> str:
        return self.serial

    @property
    def named(self) -> dict[str, str]:
        """Return what identifies it on a document: its serial, type, what it is fitted to, and where there."""
        names = {"serial": self.serial, "type": self.engine_type.name}
        return names | {"fitted_to": self.fitted_to, "position": self.position}

    @property
    def opening(self) -> Times:
        """Return what the engine had used when its record here began."""
        return Times(
            run_time_s=self.opening_run_time_s,
            time_in_service_s=self.opening_time_in_service_s,
            starts=self.opening_starts,
            cycles=self.opening_cycles,
            partial_cycles=self.opening_partial_cycles,
            other=self.opening_other,
        )


class ColumnSetup(models.Model):
    """How a header of recorded files is read for a type: remembered from the last time a person matched it."""

    engine_type = models.ForeignKey(EngineType, on_delete=models.CASCADE, related_name="column_setups")
    header = models.CharField(max_length=120)
    channel = models.CharField(max_length=60)
    unit = models.CharField(max_length=40, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["engine_type", "header"], name="column_setup_header_once")]

    def __str__(self) -> str:
        return f"{self.header} → {self.channel}"

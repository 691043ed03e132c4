"""Parts with times of their own, the ledger of where they were fitted, and where they ran by it."""

from datetime import datetime

from django.conf import settings
from django.db import models
from django.db.models import Q

from engines.lives import Stay
from engines.models.fleet import Engine, Operator
from engines.models.kept import Kept
from engines.models.usage import UsagePoint
from engines.stays import ENGINE, PART, Host
from engines.times import Times


class Component(models.Model):
    """A part by part number and serial, with what it had used when its record here began.

    ``opening_basis`` says in words where those figures come from; they are reconstructed where records were lost.
    """

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="components")
    part_number = models.CharField(max_length=60)
    serial = models.CharField(max_length=60)
    description = models.CharField(max_length=120, blank=True)
    made_on = models.DateField(null=True, blank=True)
    brought_run_time_s = models.PositiveBigIntegerField(default=0)
    brought_time_in_service_s = models.PositiveBigIntegerField(default=0)
    brought_starts = models.PositiveIntegerField(default=0)
    brought_cycles = models.PositiveIntegerField(default=0)
    brought_partial_cycles = models.PositiveIntegerField(default=0)
    brought_other = models.JSONField(default=dict, blank=True)
    opening_basis = models.TextField(blank=True)
    opening_document = models.CharField(max_length=240, blank=True)
    opening_is_reconstructed = models.BooleanField(default=False)
    away = models.JSONField(default=list, blank=True, help_text="Times with other owners; derived from the movements.")

    class Meta:
        ordering = ["part_number", "serial"]
        constraints = [
            models.UniqueConstraint(fields=["operator", "part_number", "serial"], name="component_serial_once")
        ]

    def __str__(self) -> str:
        return f"{self.part_number} {self.serial}"

    @property
    def brought(self) -> Times:
        """Return what the part had used when its record here began."""
        return Times(
            run_time_s=self.brought_run_time_s,
            time_in_service_s=self.brought_time_in_service_s,
            starts=self.brought_starts,
            cycles=self.brought_cycles,
            partial_cycles=self.brought_partial_cycles,
            other=self.brought_other,
        )

    @property
    def aways(self) -> list[Stay]:
        """Return the times that it was with another owner and came back from, each from total to total of the part."""
        return [
            Stay(
                where=told["where"],
                begin=datetime.fromisoformat(told["begin"]),
                end=datetime.fromisoformat(told["end"]),
                at_begin=Times(**told["at_begin"]),
                at_end=Times(**told["at_end"]),
                is_away=True,
            )
            for told in self.away
        ]


class PartMovement(Kept):
    """One line of the fitted and removed ledger; lines are only ever added.

    A part is fitted to an engine or into another part, a module. ``control`` is how a removed part with a limit is
    kept from being fitted beyond it, ``life`` what it had used then, as it was known when the line was added. What is
    corrected is struck, and the line that states it anew says which one it ``replaces``.
    """

    class Kind(models.TextChoices):
        """What happened to the part."""

        FITTED = "fitted", "Fitted"
        REMOVED = "removed", "Removed"
        LEFT = "left", "Sent to another owner"
        RETURNED = "returned", "Came back from another owner"

    class Control(models.TextChoices):
        """The ways of 14 CFR 43.10(c) to keep a removed life-limited part from use beyond its limit."""

        RECORD = "1", "Record system: part number, serial number and life status, updated at each removal"
        TAG = "2", "Tag or other record attached to the part"
        MARK = "3", "Mark on the part that can be taken off"
        PERMANENT = "4", "Permanent mark on the part"
        SEGREGATED = "5", "Segregation: a record, and storage apart from parts that may be fitted"
        MUTILATED = "6", "Mutilation beyond repair"
        OTHER = "7", "Other method, approved or accepted by the authority"

    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=10, choices=Kind)
    engine = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="part_movements")
    parent = models.ForeignKey(Component, null=True, blank=True, on_delete=models.PROTECT, related_name="held")
    position = models.CharField(max_length=60, blank=True)
    place = models.CharField(
        max_length=120, blank=True, help_text="Where a removed part lies, who got it, or from whom it came back."
    )
    control = models.CharField(max_length=1, choices=Control, blank=True)
    is_temporary = models.BooleanField(default=False)
    life = models.JSONField(default=dict, blank=True)
    remarks = models.CharField(max_length=240, blank=True)
    release_certificate = models.CharField(
        max_length=240, blank=True, help_text="The authorised release certificate that a fitted part came with."
    )
    at = models.DateTimeField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(engine__isnull=True) | Q(parent__isnull=True), name="movement_has_one_host"
            )
        ]

    def __str__(self) -> str:
        return f"{self.component} {self.kind} {self.engine or self.parent or self.place}"

    @property
    def host(self) -> Host:
        """Return what the part was fitted to or removed from."""
        return Host(ENGINE, self.engine_id) if self.engine_id else Host(PART, self.parent_id or 0)


class MovementVoid(Kept):
    """A line of the ledger that was wrong and counts no more, with the reason; the line stays readable."""

    movement = models.OneToOneField(PartMovement, on_delete=models.PROTECT, related_name="void")
    reason = models.CharField(max_length=240)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.movement}: struck, {self.reason}"


class PartStay(models.Model):
    """A part on an engine between two points of its counters; written anew from the ledgers when one gets a line."""

    component = models.ForeignKey(Component, on_delete=models.CASCADE, related_name="stays")
    engine = models.ForeignKey(Engine, on_delete=models.CASCADE, related_name="part_stays")
    begin = models.ForeignKey(UsagePoint, on_delete=models.PROTECT, related_name="+")
    end = models.ForeignKey(UsagePoint, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["component", "begin__at"]

    def __str__(self) -> str:
        return f"{self.component_id} on {self.engine_id}"

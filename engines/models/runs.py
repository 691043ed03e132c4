"""Runs and their evidence: typed readings, recorded traces, and each trace's extremes."""

import uuid
from typing import Any

from django.conf import settings
from django.core.files.storage import Storage, storages
from django.db import models, transaction

from engines.models.fleet import Engine, Operator
from engines.models.usage import COUNTERS, total_locked, usage_move
from engines.times import Times


def trace_storage() -> Storage:
    """Return where traces are kept: a folder, or the object store that the settings name."""
    return storages["traces"]


class Run(models.Model):
    """One run of an engine; ``id`` is chosen by whoever records it, so that sending it twice is harmless.

    The ``typed_`` figures are what a person wrote. ``run_time_s``, ``time_in_service_s``, ``starts``, ``cycles`` and
    ``partial_cycles`` are what counts: the typed figure where there is one, else what the trace shows, else nothing.
    ``other`` is what was written of the counters that the type defines besides. ``trainee`` made the start under the
    eyes of ``supervisor``; ``typed_starter_s`` is how long the starter was engaged, as written down. [s]
    """

    class Kind(models.TextChoices):
        """What sort of run it was."""

        GROUND_RUN = "ground_run", "Ground run"
        FLIGHT = "flight", "Flight"
        MOTORING = "motoring", "Motoring"
        DRY_MOTORING = "dry_motoring", "Dry motoring"
        WET_MOTORING = "wet_motoring", "Wet motoring"
        START_ATTEMPT = "start_attempt", "Start attempt"
        FIRST_START = "first_start", "First-start attempt"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="runs")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="runs")
    kind = models.CharField(max_length=20, choices=Kind)
    started_at = models.DateTimeField()
    remarks = models.TextField(blank=True)
    typed_run_time_s = models.PositiveIntegerField(null=True, blank=True)
    typed_time_in_service_s = models.PositiveIntegerField(null=True, blank=True)
    typed_starts = models.PositiveIntegerField(null=True, blank=True)
    typed_cycles = models.PositiveIntegerField(null=True, blank=True)
    typed_partial_cycles = models.PositiveIntegerField(null=True, blank=True)
    typed_meter_h = models.FloatField(null=True, blank=True, help_text="The hour meter at the end of the run. [h]")
    typed_starter_s = models.FloatField(null=True, blank=True, help_text="How long the starter was engaged. [s]")
    trainee = models.CharField(max_length=160, blank=True, help_text="Who made the start under supervision.")
    supervisor = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    timed = models.JSONField(default=dict, blank=True, help_text="What the event timer handed over.")
    run_time_s = models.PositiveIntegerField(default=0)
    time_in_service_s = models.PositiveIntegerField(default=0)
    starts = models.PositiveIntegerField(default=0)
    cycles = models.PositiveIntegerField(default=0)
    partial_cycles = models.PositiveIntegerField(default=0)
    other = models.JSONField(default=dict, blank=True)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)
    request_digest = models.CharField(max_length=64, editable=False, help_text="SHA-256 of what was first sent.")
    correction = models.PositiveSmallIntegerField(default=0, help_text="Number of the one that stands, 0 for none.")
    is_void = models.BooleanField(default=False, help_text="It never took place on this engine, and counts nothing.")

    class Meta:
        ordering = ["-started_at", "-recorded_at"]
        indexes = [models.Index(fields=["engine", "-started_at"], name="run_by_engine")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.engine.serial}, {self.started_at:%Y-%m-%d %H:%M}"

    def save(self, *args: Any, **options: Any) -> None:
        """Keep the run, and move what its engine counted from its beginning on by what the run counts for now."""
        with transaction.atomic():
            total_locked(self.engine)
            before = None if self._state.adding else Run.objects.filter(pk=self.pk).first()
            super().save(*args, **options)
            if before is not None and before.started_at != self.started_at:
                usage_move(self.engine, before.started_at, Times() - before.used)
                before = None
            usage_move(self.engine, self.started_at, self.used - (before.used if before else Times()))

    @property
    def used(self) -> Times:
        """Return what the run counts for."""
        return Times(**{name: getattr(self, name) for name in COUNTERS}, other=self.other)

    @property
    def standing_readings(self) -> "list[Reading]":
        """Return the readings that the newest correction left standing, or that were first recorded."""
        return [reading for reading in self.readings.all() if reading.correction == self.correction]

    @property
    def standing_reasons(self) -> list[Any]:
        """Return the reasons that were typed for the figures that stand."""
        return [said for said in self.reasons.all() if said.correction == self.correction]


class Reading(models.Model):
    """A reading that a person wrote down: the highest value beyond a limit, and for how long.

    ``peak`` or ``seconds`` is null where it is not known; the worst is then assumed. ``timed_seconds`` is what
    the event timer measured, kept beside what was written down. A peak in another unit than its limit's stays as it
    was written down; ``converted`` is what it is in ``converted_unit``, by which it is judged, ``converted_by`` how.
    """

    run = models.ForeignKey(Run, on_delete=models.CASCADE, related_name="readings")
    chart = models.CharField(max_length=120)
    unit = models.CharField(max_length=40)
    peak = models.FloatField(null=True, blank=True)
    seconds = models.FloatField(null=True, blank=True)
    timed_seconds = models.FloatField(null=True, blank=True)
    converted = models.FloatField(null=True, blank=True)
    converted_unit = models.CharField(max_length=40, blank=True)
    converted_by = models.CharField(max_length=400, blank=True)
    remarks = models.CharField(max_length=240, blank=True)
    correction = models.PositiveSmallIntegerField(default=0, help_text="Number of the correction that it came with.")
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.chart}: {self.peak} {self.unit} for {self.seconds} s"

    @property
    def judged(self) -> tuple[float | None, str]:
        """Return the peak as it is judged, and its unit."""
        return (self.peak, self.unit) if self.converted is None else (self.converted, self.converted_unit)


class RunTrace(models.Model):
    """A recorded trace of a run: the file as it came, and its columns packed; the newest is the one judged.

    A file is read anew, beside what was read of it before, where a calibration that it was read by was corrected.
    """

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="traces")
    original = models.FileField(storage=trace_storage, upload_to="original/%Y/%m/", max_length=200)
    original_name = models.CharField(max_length=200)
    original_sha256 = models.CharField(max_length=64)
    packed = models.FileField(storage=trace_storage, upload_to="packed/%Y/%m/", max_length=200)
    packed_sha256 = models.CharField(max_length=64)
    samples = models.PositiveIntegerField()
    duration_s = models.FloatField()
    matches = models.JSONField(default=list, help_text="header, channel and unit of each column used")
    shown = models.JSONField(default=dict, help_text="What it shows of time in service, take-offs and partial cycles.")
    unused = models.JSONField(default=list, help_text="headers of columns that were not used")
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["run", "original_sha256", "packed_sha256"], name="trace_read_once"),
        ]

    def __str__(self) -> str:
        return f"{self.original_name} ({self.samples} samples)"


class TraceExtreme(models.Model):
    """Smallest and largest valid value of a channel in one regime of a trace; regime "" is the whole trace."""

    trace = models.ForeignKey(RunTrace, on_delete=models.CASCADE, related_name="extremes")
    channel = models.CharField(max_length=60)
    regime = models.CharField(max_length=10, blank=True)
    lowest = models.FloatField()
    highest = models.FloatField()

    class Meta:
        indexes = [
            models.Index(fields=["channel", "regime", "highest"], name="extreme_highest"),
            models.Index(fields=["channel", "regime", "lowest"], name="extreme_lowest"),
        ]
        constraints = [models.UniqueConstraint(fields=["trace", "channel", "regime"], name="extreme_once")]

    def __str__(self) -> str:
        return f"{self.channel} {self.regime}: {self.lowest} to {self.highest}"

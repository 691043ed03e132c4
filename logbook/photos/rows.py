"""Photos of runs, inspections and work, each as it was kept."""

from typing import Final
from uuid import uuid4

from django.db import models

from engines.models import Engine, Operator, Run
from engines.models.kept import Kept
from engines.models.runs import trace_storage
from inspections.models import CorrectiveAction, Finding, Inspection, Step
from logbook.ledger.rows import HASH, PERSON
from logbook.maintenance.rows import Work

SHOWN: Final = ("id", "sha256", "of", "caption", "width", "height", "size", "kept_at", "added_name", "added_at")


class Photo(Kept):
    """A photo of one run, inspection or work; ``of`` says in words what it shows, and ``id`` is its sender's choice.

    It lies under its SHA-256. ``sent_sha256`` is that of the file as it was sent, by which a repeat is known;
    ``kept_at`` is by the clock of the device that kept it first, with its offset from UTC beside it.
    """

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="photos")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="photos")
    run = models.ForeignKey(Run, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    inspection = models.ForeignKey(Inspection, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    step = models.ForeignKey(Step, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    finding = models.ForeignKey(Finding, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    action = models.ForeignKey(CorrectiveAction, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    work = models.ForeignKey(Work, null=True, blank=True, on_delete=models.PROTECT, related_name="photos")
    of = models.CharField(max_length=120, help_text="What it is of, in words.")
    caption = models.CharField(max_length=240, blank=True)
    file = models.FileField(storage=trace_storage, max_length=200)
    sha256 = models.CharField(max_length=HASH)
    preview = models.FileField(storage=trace_storage, max_length=200)
    preview_sha256 = models.CharField(max_length=HASH)
    sent_sha256 = models.CharField(max_length=HASH)
    width = models.PositiveIntegerField(help_text="[px]")
    height = models.PositiveIntegerField(help_text="[px]")
    size = models.PositiveIntegerField(help_text="[bytes]")
    kept_at = models.DateTimeField(null=True, blank=True)
    kept_offset_min = models.SmallIntegerField(default=0)
    added_by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    added_name = models.CharField(max_length=160)
    added_at = models.DateTimeField()

    class Meta:
        ordering = ["added_at", "pk"]

    def __str__(self) -> str:
        return f"Photo of {self.of}"


class PhotoStrike(Kept):
    """That a photo was taken in error, said before any entry told it: no entry tells it then, and it stays readable."""

    photo = models.OneToOneField(Photo, on_delete=models.PROTECT, related_name="strike")
    reason = models.CharField(max_length=240)
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.photo}, struck: {self.reason}"

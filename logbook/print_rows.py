"""Printed sets that are made in the background: what was asked for, how far it is, and where the file lies."""

import uuid
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

from django.conf import settings
from django.db import models
from django.utils import timezone

from engines.models import Operator

PERSON: Final = "logbook.Person"
KEPT_FOR: Final = timedelta(days=1)


class PrintJob(models.Model):
    """A set of entries that a person asked to have printed; a day after that it is removed with its file."""

    class State(models.TextChoices):
        """How far it is."""

        WAITING = "waiting", "Waiting"
        PRINTING = "printing", "Printing"
        DONE = "done", "Done"
        FAILED = "failed", "Not printed"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    operator = models.ForeignKey(Operator, on_delete=models.CASCADE, related_name="print_jobs")
    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="print_jobs")
    choice = models.JSONField(help_text="By what the entries are chosen.")
    title = models.CharField(max_length=200)
    paper = models.CharField(max_length=10)
    address = models.CharField(max_length=200, help_text="Of the site, as printed codes name it.")
    asked_at = models.DateTimeField(default=timezone.now)
    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    entries = models.PositiveIntegerField()
    done = models.PositiveIntegerField(default=0)
    pages = models.PositiveIntegerField(null=True)
    heard_at = models.DateTimeField(null=True, help_text="When whoever prints it was heard of last.")
    problem = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-asked_at"]

    def __str__(self) -> str:
        return self.title

    @property
    def file(self) -> Path:
        """Return where its file lies once it is done."""
        return Path(settings.PRINTS_DIR) / f"{self.pk}.pdf"

    @property
    def kept_until(self) -> datetime:
        """Return when it is removed."""
        return self.asked_at + KEPT_FOR

    @property
    def is_at_work(self) -> bool:
        """Return whether it is not over yet."""
        return self.state in (self.State.WAITING, self.State.PRINTING)

"""What a person asked for that is made in the background: how far it is, and where the file lies."""

import uuid
from datetime import datetime, timedelta
from pathlib import Path
from typing import ClassVar, Final

from django.conf import settings
from django.db import models
from django.utils import timezone

KEPT_FOR: Final = timedelta(days=1)


class Job(models.Model):
    """A file that a person asked for; a day after that it is removed with its row.

    ``FOLDER`` is the setting that names the folder of such files, ``SUFFIX`` how their names end.
    """

    FOLDER: ClassVar[str]
    SUFFIX: ClassVar[str]

    class State(models.TextChoices):
        """How far it is."""

        WAITING = "waiting", "Waiting"
        WORKING = "working", "Being made"
        DONE = "done", "Done"
        FAILED = "failed", "Not made"

    UNFINISHED: ClassVar = (State.WAITING, State.WORKING)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    asked_at = models.DateTimeField(default=timezone.now)
    state = models.CharField(max_length=10, choices=State, default=State.WAITING)
    done = models.PositiveIntegerField(default=0, help_text="How many of its steps are.")
    heard_at = models.DateTimeField(null=True, help_text="When whoever makes it was heard of last.")
    problem = models.CharField(max_length=300, blank=True)

    class Meta:
        abstract = True
        ordering = ["-asked_at"]

    @classmethod
    def folder(cls) -> Path:
        """Return where the files of such jobs lie."""
        return Path(getattr(settings, cls.FOLDER))

    @property
    def file(self) -> Path:
        """Return where its file lies once it is done."""
        return self.folder() / f"{self.pk}{self.SUFFIX}"

    @property
    def kept_until(self) -> datetime:
        """Return when it is removed."""
        return self.asked_at + KEPT_FOR

    @property
    def is_at_work(self) -> bool:
        """Return whether it is not over yet."""
        return self.state in self.UNFINISHED

    @property
    def is_there(self) -> bool:
        """Return whether its file can be had."""
        return self.state == self.State.DONE and self.file.exists()

"""Printed sets that are made in the background: what was asked for, and where the file lies."""

from typing import Final

from django.db import models

from engines.models import Operator
from logbook.job_rows import Job

PERSON: Final = "logbook.Person"


class PrintJob(Job):
    """A set of entries that a person asked to have printed."""

    FOLDER, SUFFIX = "PRINTS_DIR", ".pdf"

    operator = models.ForeignKey(Operator, on_delete=models.CASCADE, related_name="print_jobs")
    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="print_jobs")
    choice = models.JSONField(help_text="By what the entries are chosen.")
    title = models.CharField(max_length=200)
    paper = models.CharField(max_length=10)
    address = models.CharField(max_length=200, help_text="Of the site, as printed codes name it.")
    entries = models.PositiveIntegerField()
    pages = models.PositiveIntegerField(null=True)

    def __str__(self) -> str:
        return self.title

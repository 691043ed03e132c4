"""What comes from and goes to another owner: packages that were taken in, their entries, packages being made."""

import json
from functools import cached_property
from typing import Any

from django.db import models

from engines.models import Component, Engine, Operator
from engines.models.kept import Kept
from engines.models.runs import trace_storage
from logbook.job_rows import Job
from logbook.ledger import tree
from logbook.ledger.rows import HASH, PERSON, Entry


class ReceivedPackage(Kept):
    """A package as it was taken in, whole; ``entry`` is the receiver's own entry about that.

    ``key`` is the key that it was sealed with, ``size`` and ``root`` are those of the ledger that it comes from.
    """

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="received_packages")
    engine = models.ForeignKey(
        Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="received_packages"
    )
    component = models.ForeignKey(
        Component, null=True, blank=True, on_delete=models.PROTECT, related_name="received_packages"
    )
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="received_packages")
    within = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="inner", help_text="It came in this one."
    )
    file = models.FileField(storage=trace_storage, upload_to="received/%Y/%m/", max_length=200)
    sha256 = models.CharField(max_length=HASH)
    title = models.CharField(max_length=240)
    origin = models.CharField(max_length=240, help_text="The ledger that it comes from.")
    owner = models.CharField(max_length=120, help_text="The operator who handed it over.")
    key = models.CharField(max_length=400)
    size = models.PositiveIntegerField()
    root = models.CharField(max_length=HASH)
    made_at = models.DateTimeField()
    received_by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    received_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["operator", "sha256"], name="received_package_once")]

    def __str__(self) -> str:
        return f"{self.title}, from {self.owner}"


class ReceivedEntry(Kept):
    """One entry of another owner's ledger, byte for byte as it was signed there, with its proof."""

    package = models.ForeignKey(ReceivedPackage, on_delete=models.PROTECT, related_name="entries")
    number = models.PositiveIntegerField(help_text="Its number in the ledger that it comes from.")
    kind = models.CharField(max_length=20)
    title = models.CharField(max_length=240, blank=True)
    completed_on = models.DateField()
    document = models.TextField(help_text="The canonical document that the hash is of.")
    leaf_hash = models.CharField(max_length=HASH)
    path = models.JSONField(help_text="The proof that it is in the ledger, in hexadecimal.")

    class Meta:
        ordering = ["package", "number"]
        verbose_name_plural = "received entries"
        constraints = [models.UniqueConstraint(fields=["package", "number"], name="received_entry_once")]

    def __str__(self) -> str:
        return f"Entry {self.number} of {self.package.owner}"

    @cached_property
    def facts(self) -> dict[str, Any]:
        """Return what the document says beside the body."""
        return {name: value for name, value in json.loads(self.document).items() if name != "body"}

    @cached_property
    def body(self) -> dict[str, Any]:
        """Return what the entry holds."""
        body: dict[str, Any] = json.loads(self.document)["body"]
        return body

    @property
    def holds(self) -> bool:
        """Return whether the document is still the one that stands in the ledger it comes from."""
        return tree.inclusion_holds(
            tree.leaf_hash(self.document.encode()),
            index=self.number - 1,
            size=self.package.size,
            path=[bytes.fromhex(step) for step in self.path],
            root=bytes.fromhex(self.package.root),
        )


class PackageJob(Job):
    """A package that a person asked for; ``entry`` is the one by which it was handed over, if it was."""

    FOLDER, SUFFIX = "PACKAGES_DIR", ".zip"

    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="package_jobs")
    engine = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.CASCADE, related_name="+")
    component = models.ForeignKey(Component, null=True, blank=True, on_delete=models.CASCADE, related_name="+")
    steps = models.PositiveIntegerField(default=0)
    sha256 = models.CharField(max_length=HASH, blank=True, help_text="Of the file, once it is packed.")
    entry = models.ForeignKey(Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="package_jobs")

    def __str__(self) -> str:
        return f"Record of engine {self.engine}" if self.engine_id else f"Record of part {self.component}"

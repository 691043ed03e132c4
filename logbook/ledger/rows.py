"""The entries of the logbook and the tree of hashes over them; all rows that are only ever added."""

import json
import uuid
from datetime import UTC
from functools import cached_property
from typing import Any, ClassVar, Final

from django.db import models

from engines.models import Component, Engine, Operator, Run
from engines.models.kept import Kept
from inspections.models import Inspection
from logbook.ledger.canonical import EntryFacts, entry_document

PERSON: Final = "logbook.Person"
HASH: Final = 64  # hexadecimal digits of a SHA-256


class Entry(Kept):
    """One signed entry of the logbook; ``content`` holds all that prints, as it stood when it was signed.

    ``leaf_hash`` is the SHA-256 of a zero byte and the entry's document, in hexadecimal (RFC 6962).
    """

    class Kind(models.TextChoices):
        """What the entry records."""

        RUN = "run", "Run"
        EXCEEDANCE = "exceedance", "Run beyond a limit"
        INSPECTION = "inspection", "Inspection"
        WORK = "work", "Maintenance"
        PART_FITTED = "part_fitted", "Part fitted"
        PART_REMOVED = "part_removed", "Part removed"
        PART_LIMIT = "part_limit", "Limit of a part"
        PART_DONE = "part_done", "Part overhauled or inspected"
        TASK = "task", "Task recorded"
        FIRST_START = "first_start_plan", "First-start plan"
        PROGRAMME = "programme", "Inspection programme selected"
        METER_CHANGE = "meter_change", "Hour meter changed"
        OPENING = "opening", "Opening balance"
        CALIBRATION = "calibration", "Indication calibrated"
        HANDOVER = "handover", "Handover"
        ADDENDUM = "addendum", "Addendum"

    # Entries about a run as such; the second kind says what a limit was passed by, and for how long.
    RUNS: ClassVar = (Kind.RUN, Kind.EXCEEDANCE)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="entries")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=20, choices=Kind)
    engine = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="entries")
    component = models.ForeignKey(Component, null=True, blank=True, on_delete=models.PROTECT, related_name="entries")
    run = models.ForeignKey(Run, null=True, blank=True, on_delete=models.PROTECT, related_name="entries")
    inspection = models.ForeignKey(Inspection, null=True, blank=True, on_delete=models.PROTECT, related_name="entries")
    corrects = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrected_by"
    )
    completed_on = models.DateField(help_text="The day of the run, or on which the work was completed.")
    content = models.TextField(help_text="The body, as canonical JSON.")
    signed_by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="entries")
    signed_at = models.DateTimeField(help_text="By the clock of the server, to the second.")
    leaf_hash = models.CharField(max_length=HASH, unique=True)

    class Meta:
        ordering = ["number"]
        verbose_name_plural = "entries"
        constraints = [models.UniqueConstraint(fields=["operator", "number"], name="entry_number_once")]
        indexes = [
            models.Index(fields=["engine", "completed_on"], name="entry_by_engine"),
            models.Index(fields=["operator", "signed_by"], name="entry_by_signer"),
            models.Index(fields=["operator", "kind"], name="entry_by_kind"),
            models.Index(fields=["signed_at"], name="entry_by_moment"),
            # Few entries correct one: in the index of all, those that correct none hide from a planner how few.
            models.Index(fields=["corrects"], name="entry_correcting", condition=models.Q(corrects__isnull=False)),
        ]

    def __str__(self) -> str:
        return f"Entry {self.number}"

    @cached_property
    def body(self) -> dict[str, Any]:
        """Return what the entry holds."""
        body: dict[str, Any] = json.loads(self.content)
        return body

    @property
    def facts(self) -> EntryFacts:
        """Return what the row says beside the body."""
        return EntryFacts(
            id=self.id.hex,
            number=self.number,
            kind=self.kind,
            operator_id=self.operator_id,
            engine_id=self.engine_id,
            component_id=self.component_id,
            run_id=self.run_id.hex if self.run_id else None,
            inspection_id=self.inspection_id,
            corrects_id=self.corrects_id.hex if self.corrects_id else None,
            completed_on=self.completed_on.isoformat(),
            signed_by_id=self.signed_by_id,
            signed_at=self.signed_at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        )

    @property
    def document(self) -> bytes:
        """Return the canonical document that the hash is taken of."""
        return entry_document(self.content, self.facts)


class Unsigned(models.Model):
    """A run as it was recorded or judged last, which nobody has read and signed yet; gone once it is signed."""

    run = models.OneToOneField(Run, primary_key=True, on_delete=models.CASCADE, related_name="unsigned")
    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="unsigned_runs")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="unsigned_runs")
    recorded_by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="unsigned_runs")
    since = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["since"]

    def __str__(self) -> str:
        return f"Not signed: {self.run}"


class LedgerNode(Kept):
    """The hash of a complete subtree of an operator's entries: ``2**level`` leaves, the ``index``-th such."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="ledger_nodes")
    level = models.PositiveSmallIntegerField()
    index = models.PositiveIntegerField()
    hash = models.CharField(max_length=HASH)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["operator", "level", "index"], name="ledger_node_once")]

    def __str__(self) -> str:
        return f"{self.level}/{self.index}"


class LedgerKey(Kept):
    """A public key by which an operator's checkpoints are signed; the private one lies outside the database."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="ledger_keys")
    public = models.CharField(max_length=HASH, help_text="Ed25519, in hexadecimal.")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["operator", "public"], name="ledger_key_once")]

    def __str__(self) -> str:
        return self.public


class Backup(Kept):
    """That a backup was made: when, where to, and the newest entry in it by operator."""

    made_at = models.DateTimeField(auto_now_add=True)
    place = models.CharField(max_length=200)
    database_sha256 = models.CharField(max_length=HASH)
    sizes = models.JSONField(default=dict, help_text="Entries in it, by operator.")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.made_at:%Y-%m-%d %H:%M}, {self.place}"


class Checkpoint(Kept):
    """What an operator's tree was at one size, signed: number of entries and root, as a note to keep elsewhere."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="checkpoints")
    size = models.PositiveIntegerField()
    root = models.CharField(max_length=HASH)
    note = models.TextField(help_text="The signed note.")
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["size", "pk"]
        constraints = [models.UniqueConstraint(fields=["operator", "size"], name="checkpoint_size_once")]

    def __str__(self) -> str:
        return f"{self.size} entries, {self.root[:16]}"

"""The rules an operator works to, work that is not signed yet, and discrepancies with all that became of them."""

from datetime import date
from typing import Final

from django.db import models
from django.utils import timezone

from engines.models import Engine, Operator, TaskRecord
from engines.models.kept import Kept
from engines.models.runs import trace_storage
from logbook.ledger.rows import HASH, Entry
from logbook.statements.elements import RULESETS
from logbook.statements.provisional import left_words

PERSON: Final = "logbook.Person"


class Rules(Kept):
    """The rule-set that an operator works to, with templates of its own; the newest row stands.

    ``templates`` holds the edited ones by outcome; every other one is the standard one.
    """

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="rules")
    ruleset = models.CharField(max_length=20, choices=list(RULESETS.items()))
    organisation = models.CharField(max_length=160, blank=True)
    approval = models.CharField(max_length=80, blank=True, help_text="Approval reference of the organisation.")
    templates = models.JSONField(default=dict, blank=True)
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "rules"

    def __str__(self) -> str:
        return self.get_ruleset_display()


class Publication(Kept):
    """A document that work is done to, by the revision that is on file here; the newest row of a title stands.

    A copy of it may be kept, under its SHA-256. One that came with a record (``received``) stands for nothing here
    until it is put on file.
    """

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="publications")
    title = models.CharField(max_length=240)
    revision = models.CharField(max_length=60)
    dated = models.DateField(null=True, blank=True)
    file = models.FileField(storage=trace_storage, max_length=200, blank=True)
    file_name = models.CharField(max_length=120, blank=True)
    sha256 = models.CharField(max_length=HASH, blank=True)
    received = models.ForeignKey(
        "logbook.ReceivedPackage", null=True, blank=True, on_delete=models.PROTECT, related_name="publications"
    )
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["title", "pk"]
        indexes = [models.Index(fields=["operator", "title"], name="publication_by_title")]

    def __str__(self) -> str:
        return f"{self.title}, revision {self.revision}"


class Work(models.Model):
    """Something to be entered about an engine, kept as it is written until it is signed; then it stays.

    ``facts`` are what the sheet says, as plain JSON.
    """

    class Kind(models.TextChoices):
        """Which entry it becomes."""

        WORK = "work", "Maintenance"
        INSPECTION = "inspection", "Inspection"
        METER = "meter", "Hour meter changed"
        OPENING = "opening", "Opening balance"
        CALIBRATION = "calibration", "Indication calibrated"

    class State(models.TextChoices):
        """How far it is."""

        OPEN = "open", "Not signed"
        SIGNED = "signed", "Signed"
        DROPPED = "dropped", "Dropped unsigned"

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="work")
    number = models.PositiveIntegerField()
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="work")
    kind = models.CharField(max_length=20, choices=Kind)
    facts = models.JSONField(default=dict)
    state = models.CharField(max_length=20, choices=State, default=State.OPEN)
    opened_by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    opened_at = models.DateTimeField(auto_now_add=True)
    changed_by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField(auto_now=True)
    second_by = models.ForeignKey(PERSON, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    second_at = models.DateTimeField(null=True, blank=True)
    dropped_why = models.CharField(max_length=240, blank=True)
    entry = models.OneToOneField(Entry, null=True, blank=True, on_delete=models.PROTECT, related_name="work")

    class Meta:
        ordering = ["number"]
        verbose_name_plural = "work"
        constraints = [models.UniqueConstraint(fields=["operator", "number"], name="work_number_once")]
        indexes = [models.Index(fields=["engine", "state"], name="work_by_engine")]

    def __str__(self) -> str:
        return f"Work {self.number}: {self.get_kind_display()}"

    def said(self, name: str) -> str:
        """Return a text of the facts, "" where it is not there."""
        value = self.facts.get(name)
        return "" if value is None or value is False else str(value).strip()

    def listed(self, name: str) -> tuple[str, ...]:
        """Return the lines of a text of the facts, blank ones left out."""
        return tuple(line.strip() for line in self.said(name).splitlines() if line.strip())

    def day(self, name: str) -> date | None:
        """Return a day of the facts."""
        text = self.said(name)
        return date.fromisoformat(text) if text else None


class TaskEntry(Kept):
    """Which signed entry a line of a task was recorded with."""

    record = models.OneToOneField(TaskRecord, on_delete=models.PROTECT, related_name="signed")
    entry = models.OneToOneField(Entry, on_delete=models.PROTECT, related_name="task_line")

    class Meta:
        verbose_name_plural = "task entries"

    def __str__(self) -> str:
        return f"{self.record}, {self.entry}"


class Discrepancy(Kept):
    """One line of a discrepancy list: what was found wrong on an engine, and what it does not meet."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="discrepancies")
    number = models.PositiveIntegerField()
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="discrepancies")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="discrepancies")
    text = models.TextField()
    basis = models.TextField(help_text="The requirement that it does not meet.")

    class Meta:
        ordering = ["number"]
        verbose_name_plural = "discrepancies"
        constraints = [models.UniqueConstraint(fields=["operator", "number"], name="discrepancy_number_once")]

    def __str__(self) -> str:
        return f"Discrepancy {self.number}: {self.text_now}"

    @property
    def text_now(self) -> str:
        """Return what is wrong, as it was stated last."""
        return self._stated("text")

    @property
    def basis_now(self) -> str:
        """Return the requirement that it does not meet, as it was stated last."""
        return self._stated("basis")

    def _stated(self, name: str) -> str:
        lines = [getattr(line, name) for line in self.lines.all()] if self.pk else []
        return next((text for text in reversed(lines) if text), str(getattr(self, name)))

    @property
    def due_now(self) -> date | None:
        """Return the last day for it, as it was stated last; None where no rule sets one."""
        lines = [line.due_on for line in self.lines.all()] if self.pk else []
        return next((day for day in reversed(lines) if day), None)

    @property
    def left(self) -> str:
        """Return how long there is left for it, "" where no rule sets a day."""
        return left_words(self.due_now, timezone.localdate()) if self.due_now else ""


class DiscrepancyLine(Kept):
    """What became of a discrepancy by one signed entry; the newest line says how it stands.

    ``text`` and ``basis`` are there where the entry corrects one, and states them anew.
    """

    class State(models.TextChoices):
        """How it stands."""

        OPEN = "open", "Open"
        DEFERRED = "deferred", "Deferred, inoperative permitted"
        PENDING = "pending", "Condition of a release, still to be met"
        CLOSED = "closed", "Closed"

    discrepancy = models.ForeignKey(Discrepancy, on_delete=models.PROTECT, related_name="lines")
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="discrepancy_lines")
    state = models.CharField(max_length=20, choices=State)
    words = models.TextField(blank=True)
    text = models.TextField(blank=True)
    basis = models.TextField(blank=True)
    deferral = models.CharField(max_length=240, blank=True, help_text="On which basis it may stay inoperative.")
    placard_by = models.CharField(max_length=160, blank=True)
    placard_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True, help_text="The last day for it, where a rule sets one.")

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["discrepancy", "entry"], name="discrepancy_line_once")]

    def __str__(self) -> str:
        return f"{self.get_state_display()}, entry {self.entry.number}"

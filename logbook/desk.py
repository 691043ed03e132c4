"""Records of whoever runs the work: saved views, what is to be settled, and who may inspect what."""

import uuid
from typing import Final

from django.db import models

from engines.models import Engine, EngineType, Operator, Run, TypeRevision
from engines.models.kept import Kept
from logbook.roles import Role

PERSON: Final = "logbook.Person"


class SavedView(models.Model):
    """A list narrowed in some way, under a name and an address that stay when its filters change."""

    class Of(models.TextChoices):
        """The list that is narrowed; the value is the name of its screen."""

        INSPECTIONS = "inspection_list", "Inspections"
        ENTRIES = "entry_list", "Entries"
        ENGINES = "engine_list", "Engines"
        CONCERNS = "concern_list", "To settle"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="saved_views")
    name = models.CharField(max_length=80)
    of = models.CharField(max_length=20, choices=Of)
    query = models.CharField(max_length=500, blank=True, help_text="What stands behind the question mark.")
    kept_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ["of", "name"]
        constraints = [models.UniqueConstraint(fields=["person", "of", "name"], name="saved_view_name_once")]

    def __str__(self) -> str:
        return self.name


class Concern(Kept):
    """Something in the record that the director of maintenance has to settle, once, in words."""

    class Kind(models.TextChoices):
        """What it is about."""

        REASON = "reason", "Reason given for an unlikely figure"
        EVIDENCE = "evidence", "Evidence disagrees"
        LATE = "late", "Recorded late"
        KEYING = "keying", "Second keying differs"
        OVERDUE = "overdue", "Run while something was overdue"
        KEPT_LATE = "kept_late", "Arrived after closing"
        CLOCK = "clock", "Clock of a phone"
        VERDICT = "verdict", "Phone and server judge differently"
        DRIFT = "drift", "Starts drift"
        CHECK = "check", "Check before a start out of place"
        FIRST_START = "first", "Run before a first start was completed"

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="concerns")
    kind = models.CharField(max_length=10, choices=Kind)
    engine = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="concerns")
    run = models.ForeignKey(Run, null=True, blank=True, on_delete=models.PROTECT, related_name="concerns")
    revision = models.ForeignKey(TypeRevision, null=True, blank=True, on_delete=models.PROTECT, related_name="concerns")
    about = models.CharField(max_length=120, help_text="The chart or the box that it is about.")
    text = models.CharField(max_length=500, help_text="What disagrees, with both figures.")
    reason = models.TextField(blank=True, help_text="The reason as it was typed.")
    raised_by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    raised_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["raised_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["run", "kind", "about", "text"], name="concern_raised_once"),
        ]
        indexes = [models.Index(fields=["operator", "kind"], name="concern_by_kind")]

    def __str__(self) -> str:
        return f"{self.about}: {self.text}"


class Settlement(Kept):
    """The one decision on a concern, with a note; the concern and the record it is about stay as they are."""

    class Decision(models.TextChoices):
        """What was decided."""

        STANDS = "stands", "It stands as recorded"
        CORRECTED = "corrected", "Put right by another record"
        NOT_ACCEPTED = "not_accepted", "Not accepted; it has to be recorded again"

    concern = models.OneToOneField(Concern, on_delete=models.PROTECT, related_name="settlement")
    decision = models.CharField(max_length=20, choices=Decision)
    note = models.TextField()
    settled_by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    settled_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.get_decision_display()


class Authorization(models.Model):
    """A line of the list of who may inspect what (14 CFR 135.429(e)): name, title, inspections allowed.

    A line is ended and a new one written; only its end is ever added to it. It covers the inspections of one engine
    type or of every type, and of these the one that it names or all.
    """

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="authorizations")
    person = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="authorizations")
    name = models.CharField(max_length=160, help_text="As it stood when the line was written.")
    title = models.CharField(max_length=120)
    inspections = models.TextField(help_text="In the words of the operator's manual.")
    engine_type = models.ForeignKey(
        EngineType, null=True, blank=True, on_delete=models.PROTECT, related_name="+", help_text="Empty: every type."
    )
    only = models.CharField(max_length=240, blank=True, help_text="As the limits name it; empty: every inspection.")
    begins_on = models.DateField()
    listed_by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    listed_at = models.DateTimeField(auto_now_add=True)
    ended_on = models.DateField(null=True, blank=True)
    ended_by = models.ForeignKey(PERSON, null=True, blank=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return f"{self.name}, {self.title}"

    @property
    def allowed(self) -> str:
        """Return the inspections allowed as the list says them: in the manual's words, and what they are limited to."""
        only = [f"only “{self.only}”"] if self.only else []
        on = [f"on {self.engine_type}"] if self.engine_type else []
        return f"{self.inspections} ({', '.join(only + on)})" if only or on else self.inspections


class AccountChange(Kept):
    """What was done to a person's account: by whom, when, and the role from and to; never a password."""

    class Kind(models.TextChoices):
        """What was done."""

        ADDED = "added", "Account opened"
        ROLE = "role", "Role changed"
        PASSWORD = "password", "New one-time password given"
        CLOSED = "closed", "Account closed"
        RESTORED = "restored", "Account opened again"

    person = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="account_changes")
    kind = models.CharField(max_length=10, choices=Kind)
    role_from = models.CharField(max_length=20, choices=Role, blank=True)
    role_to = models.CharField(max_length=20, choices=Role, blank=True)
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        if self.kind == self.Kind.ROLE:
            return f"Role changed from {self.get_role_from_display()} to {self.get_role_to_display()}"
        return f"{self.get_kind_display()} as {self.get_role_to_display()}" if self.role_to else self.get_kind_display()

"""Inspections, what was found and done, and how they ended."""

from django.conf import settings
from django.db import models

from engines.models import Engine, Operator, Run, TypeRevision
from inspections import states


class Inspection(models.Model):
    """What an exceedance or a repeat count calls for, opened once and held until it is approved.

    ``rule`` says what called for it, for example "area B" or "repeat 1".
    """

    class Cause(models.TextChoices):
        """How far the cause of the event is known."""

        NOT_FOUND = "not_found", "Cause not found"
        FOUND = "found", "Cause found"
        CORRECTED = "corrected", "Cause corrected"

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="inspections")
    number = models.PositiveIntegerField()
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="inspections")
    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="inspections")
    revision = models.ForeignKey(TypeRevision, on_delete=models.PROTECT, related_name="+")
    chart = models.CharField(max_length=120)
    rule = models.CharField(max_length=80)
    ordinal = models.PositiveIntegerField(default=1)
    summary = models.CharField(max_length=240)
    reference = models.CharField(max_length=240, blank=True)
    source = models.CharField(max_length=240, blank=True)
    before_next_flight = models.BooleanField()
    required_inspection_item = models.BooleanField(default=False)
    state = models.CharField(max_length=20, choices=list(states.LABELS.items()), default=states.OPEN)
    cause = models.CharField(max_length=20, choices=Cause, default=Cause.NOT_FOUND)
    cause_text = models.TextField(blank=True)
    assigned_to = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="inspections"
    )
    second_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    second_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["opened_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["operator", "number"], name="inspection_number_once"),
            models.UniqueConstraint(fields=["run", "chart", "rule", "ordinal"], name="inspection_opened_once"),
        ]
        indexes = [models.Index(fields=["operator", "state"], name="inspection_by_state")]

    def __str__(self) -> str:
        return f"Inspection {self.number}: {self.summary}"


class Step(models.Model):
    """One step of an inspection; nothing is answered for the person."""

    class Answer(models.TextChoices):
        """What a person said of the step."""

        DONE = "done", "Done"
        NOT_DONE = "not_done", "Not done"
        NOT_APPLICABLE = "not_applicable", "Not applicable"

    inspection = models.ForeignKey(Inspection, on_delete=models.CASCADE, related_name="steps")
    position = models.PositiveIntegerField()
    text = models.CharField(max_length=240)
    answer = models.CharField(max_length=20, choices=Answer, blank=True)
    reason = models.CharField(max_length=240, blank=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [models.UniqueConstraint(fields=["inspection", "position"], name="step_position_once")]

    def __str__(self) -> str:
        return self.text


class Finding(models.Model):
    """A discrepancy found during an inspection."""

    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="findings")
    text = models.TextField()
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.text


class CorrectiveAction(models.Model):
    """What was done, to which data, by whom, and when it was completed (14 CFR 43.9(a)(1) to (3))."""

    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="actions")
    finding = models.ForeignKey(Finding, null=True, blank=True, on_delete=models.PROTECT, related_name="actions")
    description = models.TextField()
    data_reference = models.CharField(max_length=240, help_text="Document, revision and section worked to.")
    completed_on = models.DateField()
    performed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.description


class Release(models.Model):
    """How an inspection ended, by whom; a row stays as it was written, also after rework."""

    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="releases")
    outcome = models.CharField(
        max_length=20, choices=[(s, states.LABELS[s]) for s in (states.APPROVED, states.NOT_APPROVED)]
    )
    extent = models.TextField(help_text="A brief account of what was inspected and done.")
    statement = models.TextField()
    completed_on = models.DateField()
    signed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    signed_name = models.CharField(max_length=160)
    certificate_kind = models.CharField(max_length=120)
    certificate_number = models.CharField(max_length=60)
    second_name = models.CharField(max_length=160, blank=True)
    given_to = models.CharField(max_length=160, blank=True, help_text="Who got the list of discrepancies.")
    signed_at = models.DateTimeField(auto_now_add=True)
    corrects = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrected_by"
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.get_outcome_display()}, {self.signed_name}"

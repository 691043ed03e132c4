"""First-start plans: what asked for one, what was recorded of its steps, and how it ended; all only ever added."""

from django.conf import settings
from django.db import models

from engines.first_starts import WHENS, FirstStartRules, Line, Progress, Trigger, progress_of
from engines.models.fleet import Engine, Operator, TypeRevision
from engines.models.kept import Kept
from engines.models.runs import Run

LONGEST = 240


class FirstStart(Kept):
    """One plan of an engine, by the steps of its type as they were in force when it was asked for."""

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="first_starts")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="first_starts")
    revision = models.ForeignKey(TypeRevision, on_delete=models.PROTECT, related_name="first_starts")
    opened_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["engine", "-id"], name="first_start_by_engine")]

    def __str__(self) -> str:
        return f"First-start plan of {self.engine.serial}"

    @property
    def rules(self) -> FirstStartRules:
        """Return what the type asked when the plan was opened; ValueError where it asked nothing."""
        rules = self.revision.data.first_start
        if rules is None:
            raise ValueError(f"{self.revision} asks for no first start")
        return rules

    @property
    def is_open(self) -> bool:
        """Return whether it has not ended."""
        return not hasattr(self, "end")

    @property
    def cause(self) -> "FirstStartCause":
        """Return what asked for it last."""
        return list(self.causes.all())[-1]

    @property
    def standing_lines(self) -> "list[FirstStartLine]":
        """Return what was recorded since it was asked for last, runs that were made void left out."""
        lines = list(self.lines.all())[self.cause.after :]
        return [line for line in lines if line.run is None or not line.run.is_void]

    @property
    def progress(self) -> Progress:
        """Return how far it has come."""
        return progress_of(self.rules, [Line(line.step, line.ending) for line in self.standing_lines])


class FirstStartCause(Kept):
    """What asked for a plan, and when that was; one that comes later begins the steps again.

    ``after`` is how many lines had been recorded before it. ``reason`` is what a person wrote.
    """

    plan = models.ForeignKey(FirstStart, on_delete=models.PROTECT, related_name="causes")
    when = models.CharField(max_length=20, choices=[(when, when) for when in WHENS])
    text = models.CharField(max_length=LONGEST, help_text="What happened, in words.")
    reason = models.CharField(max_length=LONGEST, blank=True)
    at = models.DateTimeField(help_text="When it happened.")
    after = models.PositiveSmallIntegerField(default=0)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.text

    @classmethod
    def of(cls, trigger: Trigger) -> "FirstStartCause":
        """Return one of a trigger, not yet kept."""
        return cls(when=trigger.when, text=trigger.words)


class FirstStartLine(Kept):
    """What was recorded of a step: how it ended, and the run by which it was done, where it is done by one."""

    plan = models.ForeignKey(FirstStart, on_delete=models.PROTECT, related_name="lines")
    step = models.CharField(max_length=120)
    ending = models.CharField(max_length=120)
    is_done = models.BooleanField(help_text="Whether it ended as wanted.")
    run = models.OneToOneField(Run, null=True, blank=True, on_delete=models.PROTECT, related_name="first_start_line")
    remarks = models.CharField(max_length=LONGEST, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(help_text="When it was done.")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.step}: {self.ending}"


class FirstStartEnd(Kept):
    """How a plan ended: completed, or not called for after all."""

    class Outcome(models.TextChoices):
        """How it ended."""

        COMPLETED = "completed", "Completed"
        NOT_CALLED_FOR = "not_called_for", "Not called for"

    plan = models.OneToOneField(FirstStart, on_delete=models.PROTECT, related_name="end")
    outcome = models.CharField(max_length=20, choices=Outcome)
    on = models.DateField()
    remarks = models.CharField(max_length=LONGEST, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.get_outcome_display()}, {self.on}"

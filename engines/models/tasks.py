"""Tasks of one engine or one part, and what was recorded of these and of the tasks of their type."""

from django.conf import settings
from django.db import models

from engines.counters import used_of
from engines.models.fleet import Engine, Operator
from engines.models.kept import Kept
from engines.models.parts import Component
from engines.models.usage import columns_read
from engines.task_documents import task_document_read
from engines.tasks import TaskData

ONE_THING = (models.Q(engine__isnull=True) & models.Q(component__isnull=False)) | (
    models.Q(engine__isnull=False) & models.Q(component__isnull=True)
)


class Task(Kept):
    """A task of one engine or one part beside those of its type: a directive, a bulletin, anything agreed.

    A revised directive is a new row that says which one it replaces.
    """

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="tasks")
    engine = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="tasks")
    component = models.ForeignKey(Component, null=True, blank=True, on_delete=models.PROTECT, related_name="tasks")
    document = models.JSONField(help_text="As a task stands in a type's document.")
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    entered_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.CheckConstraint(condition=ONE_THING, name="task_of_one_thing")]

    def __str__(self) -> str:
        return str(self.document.get("name"))

    @property
    def data(self) -> TaskData:
        """Return the document as the computation needs it."""
        return task_document_read(self.document)


class TaskRecord(Kept):
    """One line of what was recorded of a task: on which day, at which counters, how it ended, by which method.

    A task of the type has no row of its own, so it is known by its name. An extension repeats the line before it,
    and says that it is extended. ``used`` is what the counters stood at as it was known then; what is reckoned from the
    runs until ``until`` follows these, and what a person ``stated`` stands. A correction is a new line that says which
    one it replaces; only what nothing replaced counts.
    """

    class Outcome(models.TextChoices):
        """How it ended that time."""

        BEGUN = "begun", "Begins to apply"
        DONE = "done", "Done"
        TERMINATED = "terminated", "Done, and ended by a terminating action"
        NOT_APPLICABLE = "not_applicable", "Not applicable"

    engine = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="task_records")
    component = models.ForeignKey(
        Component, null=True, blank=True, on_delete=models.PROTECT, related_name="task_records"
    )
    task = models.ForeignKey(Task, null=True, blank=True, on_delete=models.PROTECT, related_name="records")
    name = models.CharField(max_length=120)
    outcome = models.CharField(max_length=20, choices=Outcome)
    on = models.DateField()
    used = models.JSONField(help_text="What the counters stood at, in seconds and counts, by their names.")
    until = models.DateTimeField(null=True, blank=True, help_text="Runs that began before then were counted.")
    stated = models.JSONField(default=dict, blank=True, help_text="Counters that a person stated, by their names.")
    is_extended = models.BooleanField(default=False)
    method = models.CharField(max_length=240, blank=True, help_text="How it was done or complied with.")
    reference = models.CharField(max_length=240, blank=True, help_text="Document, revision and section worked to.")
    remarks = models.TextField(blank=True)
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [models.CheckConstraint(condition=ONE_THING, name="task_record_of_one_thing")]
        indexes = [
            models.Index(fields=["engine", "name", "-on"], name="task_record_by_engine"),
            models.Index(fields=["component", "name", "-on"], name="task_record_by_component"),
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.said}, {self.on}"

    @property
    def stood(self) -> dict[str, int]:
        """Return what the counters stood at by the runs as they are recorded now, where the line was read with them."""
        told, part = getattr(self, "reckoned", None), self.component
        before = part.brought if part is not None else self.engine and told and self.engine.opening
        if self.until is None or not before or not hasattr(self, "reckoned"):
            return dict(self.used)
        return {**self.used, **used_of(before + columns_read(told or {})), **self.stated}

    @property
    def said(self) -> str:
        """Return what the line says happened."""
        return "Extended once, as the source grants" if self.is_extended else self.get_outcome_display()

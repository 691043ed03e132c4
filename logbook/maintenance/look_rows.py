"""Which work is a required inspection item, and what became of the second look at it; only ever added to."""

from django.db import models

from engines.models import Operator
from engines.models.kept import Kept
from logbook.maintenance.rows import PERSON, Work


class RequiredItem(Kept):
    """A line of the operator's list of required inspection items: work to a section of a document, or to all of it.

    The newest line of a document and section stands; one that is not required takes it off the list.
    """

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="required_items")
    document = models.CharField(max_length=240)
    section = models.CharField(max_length=240, blank=True, help_text="Empty: everything that is done to the document.")
    is_required = models.BooleanField(default=True)
    why = models.CharField(max_length=240)
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["operator", "document"], name="required_by_document")]

    def __str__(self) -> str:
        return f"{self.document}, {self.section or 'all of it'}"


class LookLine(Kept):
    """One thing that became of the second look at work, with the words that were said of it."""

    class Outcome(models.TextChoices):
        """What became of it."""

        REFUSED = "refused", "Not accepted"
        REWORKED = "reworked", "Done again"
        ACCEPTED = "accepted", "Accepted"
        LIFTED = "lifted", "No longer a required inspection item"

    work = models.ForeignKey(Work, on_delete=models.PROTECT, related_name="looks")
    outcome = models.CharField(max_length=10, choices=Outcome)
    words = models.TextField(blank=True)
    by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.get_outcome_display()}, {self.by}"

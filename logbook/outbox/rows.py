"""What came from a phone's outbox, as it was sent, with the answer that it got."""

from django.db import models

from engines.models import Operator
from engines.models.kept import Kept
from logbook.ledger.rows import PERSON


class Arrival(Kept):
    """One item of a phone's outbox, taken once; its number is the receipt, ``answer`` what is said again to a repeat.

    ``body`` is the item as it was sent, also what could no longer be used. ``kept_at`` is the phone's time, with its
    offset from UTC in ``kept_offset_min``; ``clock_ahead_s`` is how far the phone's clock was ahead at sending.
    """

    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="arrivals")
    author = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="arrivals")
    item = models.UUIDField(help_text="The number that the phone gave it.")
    kind = models.CharField(max_length=20)
    digest = models.CharField(max_length=64, help_text="SHA-256 of what was stated, by which a repeat is known.")
    body = models.JSONField()
    kept_at = models.DateTimeField()
    kept_offset_min = models.SmallIntegerField(default=0)
    clock_ahead_s = models.FloatField()
    is_late = models.BooleanField(default=False)
    answer = models.JSONField()
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["author", "item"], name="arrival_once")]

    def __str__(self) -> str:
        return f"No. {self.pk}"

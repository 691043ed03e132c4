"""The row of an act on a part that waits to be read and signed."""

import uuid
from typing import Any, Final

from django.db import models

from engines.models import Component, Engine, Operator
from logbook.ledger.rows import Entry

PERSON: Final = "logbook.Person"


class PartDraft(models.Model):
    """An act on a part as another program sent it; it counts nothing until it is read and signed, then it stays.

    ``facts`` are what was sent, as plain JSON; ``title`` and ``told`` are what its entries would have said then.
    ``engine`` and ``other_engine`` are those that the act is done on: two where a part goes from one to the other.
    """

    class Kind(models.TextChoices):
        """What was done."""

        OPENING = "opening", "Part entered with what it had used"
        LIST = "list", "List of parts"
        FIT = "fit", "Fitted"
        REMOVE = "remove", "Removed"
        MOVE = "move", "Moved"
        SEND = "send", "Sent to another owner"
        RETURN = "return", "Came back from another owner"
        STRIKE = "strike", "Line struck"
        LIMIT_ADD = "limit_add", "Limit entered"
        LIMIT_REPLACE = "limit_replace", "Limit replaced"
        DONE = "done", "Overhaul or inspection done"

    class State(models.TextChoices):
        """How far it is."""

        OPEN = "open", "Not signed"
        SIGNED = "signed", "Signed"
        DROPPED = "dropped", "Dropped unsigned"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="part_drafts")
    kind = models.CharField(max_length=20, choices=Kind)
    component = models.ForeignKey(Component, null=True, blank=True, on_delete=models.PROTECT, related_name="drafts")
    engine = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="part_drafts")
    other_engine = models.ForeignKey(Engine, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    facts = models.JSONField(default=dict)
    digest = models.CharField(max_length=64, help_text="Of what was sent, by which a repeat is known.")
    title = models.CharField(max_length=400)
    told = models.JSONField(default=list, help_text="Lines of a name and a text.")
    state = models.CharField(max_length=20, choices=State, default=State.OPEN)
    sent_by = models.ForeignKey(PERSON, on_delete=models.PROTECT, related_name="part_drafts")
    since = models.DateTimeField(auto_now_add=True)
    closed_by = models.ForeignKey(PERSON, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    dropped_why = models.CharField(max_length=240, blank=True)
    entries: Any = models.ManyToManyField(Entry, blank=True, related_name="part_drafts")

    class Meta:
        ordering = ["since", "pk"]
        indexes = [models.Index(fields=["operator", "state"], name="part_draft_by_state")]

    def __str__(self) -> str:
        return self.title

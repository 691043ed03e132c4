"""Checks before a start as an observer answered them."""

import uuid

from django.conf import settings
from django.db import models
from django.utils import timezone

from engines.models.fleet import Engine, Operator, TypeRevision
from engines.models.kept import Kept


class StartCheck(Kept):
    """The answers to a type's checks before one start; ``answers`` holds for each what was asked, answered and said.

    An answer out of place has its ``question`` and the ``reason`` that was typed for it.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    operator = models.ForeignKey(Operator, on_delete=models.PROTECT, related_name="start_checks")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="start_checks")
    revision = models.ForeignKey(TypeRevision, on_delete=models.PROTECT, related_name="start_checks")
    answers = models.JSONField(help_text="name, unit, value, said, asked, question and reason of each check")
    remarks = models.CharField(max_length=240, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now, help_text="When it was answered.")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-at"]
        indexes = [models.Index(fields=["engine", "-at"], name="start_check_by_engine")]

    def __str__(self) -> str:
        return f"Checks before a start, {timezone.localtime(self.at):%Y-%m-%d %H:%M}"

    @property
    def wrong(self) -> list[dict[str, str]]:
        """Return the answers that were out of place."""
        return [answer for answer in self.answers if answer["question"]]

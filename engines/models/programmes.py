"""Under which inspection programme the aircraft of an engine is inspected; every selection is kept."""

from django.conf import settings
from django.db import models

from engines.models.fleet import Engine
from engines.models.kept import Kept
from engines.programmes import AIRCRAFT, OPTIONS, Selection

FIELDS = ("aircraft", "kind", "option", "from_on", "title", "revision", "responsible")


class ProgrammeSelection(Kept):
    """One selection; a later one takes its place from its own day on, and a correction is a row that replaces it."""

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="programmes")
    aircraft = models.CharField(max_length=120, help_text="Registration of the aircraft that the engine is fitted to.")
    kind = models.CharField(max_length=20, choices=list(AIRCRAFT.items()))
    option = models.CharField(max_length=20, choices=[(name, option.title) for name, option in OPTIONS.items()])
    title = models.CharField(max_length=240, blank=True)
    revision = models.CharField(max_length=60, blank=True)
    responsible = models.CharField(max_length=240, blank=True, help_text="Name and address of who schedules it.")
    from_on = models.DateField()
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["engine", "-from_on"], name="programme_by_engine")]

    def __str__(self) -> str:
        return self.words

    @property
    def said(self) -> Selection:
        """Return what it says."""
        return Selection(**{name: getattr(self, name) for name in FIELDS})

    @property
    def words(self) -> str:
        """Return which programme it is, in a line."""
        option = OPTIONS[self.option]
        return f"{self.title}, revision {self.revision}: {option.words.lower()}" if self.title else option.words

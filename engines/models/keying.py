"""The second keying of changed limits: what a second person read in the source, without seeing the first."""

from django.conf import settings
from django.db import models

from engines.models.fleet import TypeRevision
from engines.models.kept import Kept


class KeyedChart(Kept):
    """The figures of one chart as a second person keyed them; the newest row of a chart counts.

    ``figures`` holds the keyed value of each path of the chart, ``differences`` what did not agree with the
    draft at that time. ``settled_against`` names the page of the source where a difference was looked up.
    """

    revision = models.ForeignKey(TypeRevision, on_delete=models.PROTECT, related_name="keyed_charts")
    chart = models.CharField(max_length=120)
    figures = models.JSONField()
    has_other_lines = models.BooleanField(
        default=False, help_text="The source has more or fewer figures than the draft has."
    )
    differences = models.JSONField(default=list)
    settled_against = models.CharField(max_length=240, blank=True)
    keyed_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    keyed_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.chart}, keyed by {self.keyed_by}"

    @property
    def agrees(self) -> bool:
        """Return whether everything keyed was as the draft has it."""
        return not self.differences and not self.has_other_lines

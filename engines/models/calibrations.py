"""Calibrations of an engine's own instruments."""

from django.conf import settings
from django.db import models

from engines.calibration import Calibration
from engines.models.fleet import Engine
from engines.models.kept import Kept


class EngineCalibration(Kept):
    """What an instrument of an engine reads against what that is, from a day on; the newest of a channel holds.

    ``pairs`` are readings in ``reads`` with values in ``unit``, the channel's own. A correction is a new row that says
    which one it replaces; only what nothing replaced holds.
    """

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="calibrations")
    channel = models.CharField(max_length=60)
    reads = models.CharField(max_length=40)
    unit = models.CharField(max_length=40)
    pairs = models.JSONField()
    begins_on = models.DateField()
    source = models.CharField(max_length=240)
    replaces = models.OneToOneField("self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["begins_on", "pk"]
        indexes = [models.Index(fields=["engine", "channel", "-begins_on"], name="calibration_by_engine")]

    def __str__(self) -> str:
        return f"{self.channel} of {self.engine.serial} from {self.begins_on}"

    @property
    def data(self) -> Calibration:
        """Return the calibration as the computation needs it."""
        pairs = tuple((float(read), float(value)) for read, value in self.pairs)
        return Calibration(self.channel, self.reads, self.unit, pairs, self.begins_on, self.source)

"""Power checks, fuel figures, and settings of cruise power kept on an engine's card."""

from django.conf import settings
from django.db import models

from engines.models.fleet import Engine
from engines.models.kept import Kept
from engines.models.runs import Run
from engines.power_assurance import PowerReadings


class PowerCheckRecord(Kept):
    """Readings at one steady setting, in the units of the type's channels; what they come to is worked out anew.

    One that begins a baseline says after which change.
    """

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="power_checks")
    run = models.ForeignKey(Run, null=True, blank=True, on_delete=models.PROTECT, related_name="power_checks")
    at = models.DateTimeField()
    readings = models.JSONField()
    begins_baseline = models.BooleanField(default=False)
    why = models.CharField(max_length=240, blank=True, help_text="The change after which a baseline begins.")
    remarks = models.CharField(max_length=240, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["engine", "at"], name="power_check_by_engine")]

    def __str__(self) -> str:
        return f"Power check of {self.engine.serial}, {self.at:%Y-%m-%d %H:%M}"

    @property
    def data(self) -> PowerReadings:
        """Return the readings as the computation needs them."""
        return PowerReadings(**self.readings)


class FuelFigures(Kept):
    """What a totaliser counted in a run and what was uplifted for it, in the fuel flow's unit of amount; newest stands.

    None where it is not known.
    """

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="fuel_figures")
    totaliser = models.FloatField(null=True, blank=True)
    uplift = models.FloatField(null=True, blank=True)
    remarks = models.CharField(max_length=240, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "fuel figures"

    def __str__(self) -> str:
        return f"Fuel of {self.run}"


class CruiseSetting(Kept):
    """How cruise power was set in a flight, as its trace showed it when somebody kept it on the engine's card.

    ``facts`` holds the means of the three settings by channel, the torque rise, the propeller's fall, and the air.
    """

    run = models.OneToOneField(Run, on_delete=models.PROTECT, related_name="cruise_setting")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="cruise_settings")
    facts = models.JSONField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["run__started_at", "pk"]

    def __str__(self) -> str:
        return f"Cruise setting of {self.run}"

"""Judgements of runs, and the exceedances and near misses in them."""

from django.db import models

from engines.models import Engine, Run, RunTrace, TypeRevision


class Judgement(models.Model):
    """One judging of a run's evidence by the limits in force when it ran; later ones stand beside it.

    ``repeat_seconds`` holds, by "chart|index", the seconds this run adds to each total-time rule.
    """

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="judgements")
    revision = models.ForeignKey(TypeRevision, on_delete=models.PROTECT, related_name="judgements")
    trace = models.ForeignKey(RunTrace, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    verdict = models.JSONField()
    repeat_seconds = models.JSONField(default=dict)
    advisory = models.JSONField(default=list, help_text="What went beyond the operator's own limits; opens nothing.")
    advised = models.PositiveIntegerField(default=0, help_text="How many of these there are.")
    is_current = models.BooleanField(default=True)
    judged_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["run"], condition=models.Q(is_current=True), name="one_current_judgement")
        ]

    def __str__(self) -> str:
        return f"{self.run} by revision {self.revision.number}"


class Exceedance(models.Model):
    """One excursion beyond a chart's limit; without an area it is a near miss and still part of the record."""

    judgement = models.ForeignKey(Judgement, on_delete=models.CASCADE, related_name="exceedances")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="exceedances")
    chart = models.CharField(max_length=120)
    channel = models.CharField(max_length=60)
    unit = models.CharField(max_length=40)
    side = models.CharField(max_length=5)
    start_s = models.FloatField(null=True)
    end_s = models.FloatField(null=True)
    open_ended = models.BooleanField(default=False)
    peak = models.FloatField(null=True)
    seconds_above = models.FloatField(null=True)
    levels = models.JSONField(default=list)
    area = models.CharField(max_length=60, null=True)  # noqa: DJ001 - null is the contract's word for "none entered"
    area_possible = models.CharField(max_length=60, null=True)  # noqa: DJ001 - as above
    possible = models.PositiveIntegerField()
    margin = models.JSONField(null=True)
    evidence = models.CharField(max_length=10, blank=True, help_text='"reading" where a person wrote it down')
    inspection = models.ForeignKey(
        "inspections.Inspection", null=True, blank=True, on_delete=models.PROTECT, related_name="exceedances"
    )

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["engine", "chart", "area_possible"], name="exceedance_by_chart")]

    def __str__(self) -> str:
        return f"{self.chart}: area {self.area_possible or 'none'}"

"""Starts and shutdowns as a judged trace showed them, so that an engine's history of them needs no trace read again."""

from django.db import models

from engines.models import Engine
from inspections.models.judgements import Judgement


class StartRecord(models.Model):
    """One start of a judged trace; ``figures`` are those of StartFigures, ``curve`` its course around light-off."""

    judgement = models.ForeignKey(Judgement, on_delete=models.CASCADE, related_name="starts")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="start_records")
    place = models.PositiveSmallIntegerField(help_text="Which start of the run it is, from 1.")
    at = models.DateTimeField(help_text="When the engine began to turn.")
    outcome = models.CharField(max_length=20)
    figures = models.JSONField()
    curve = models.JSONField(help_text="Temperature and speed at fixed moments from light-off; empty without a trace.")

    class Meta:
        ordering = ["at", "place"]
        indexes = [models.Index(fields=["engine", "at"], name="start_by_engine")]
        constraints = [models.UniqueConstraint(fields=["judgement", "place"], name="start_place_once")]

    def __str__(self) -> str:
        return f"start {self.place} of {self.at:%Y-%m-%d %H:%M}: {self.outcome}"


class ShutdownRecord(models.Model):
    """One shutdown of a judged trace; ``figures`` are those of ShutdownFigures."""

    judgement = models.ForeignKey(Judgement, on_delete=models.CASCADE, related_name="shutdowns")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="shutdown_records")
    place = models.PositiveSmallIntegerField(help_text="Which shutdown of the run it is, from 1.")
    at = models.DateTimeField(help_text="When running ended.")
    figures = models.JSONField()

    class Meta:
        ordering = ["at", "place"]
        indexes = [models.Index(fields=["engine", "at"], name="shutdown_by_engine")]
        constraints = [models.UniqueConstraint(fields=["judgement", "place"], name="shutdown_place_once")]

    def __str__(self) -> str:
        return f"shutdown {self.place} of {self.at:%Y-%m-%d %H:%M}"

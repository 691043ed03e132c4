"""Starts as their traces showed them, and how an engine's starts drift."""

from dataclasses import asdict
from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from engines.queries import engine_for, revision_in_force, run_for
from engines.start_rules import StartRules
from inspections.models import ShutdownRecord, StartRecord
from inspections.queries import judgement_of
from logbook.api.base import person_of
from logbook.drift import Series, rule_words, series_of


class StartSerializer(serializers.ModelSerializer):
    """One start: ``figures`` with null for what is not recorded, ``curve`` its course from 10 s before light-off."""

    class Meta:
        model = StartRecord
        fields = ["place", "at", "outcome", "figures", "curve"]


class ShutdownSerializer(serializers.ModelSerializer):
    """One shutdown: cooling down before it and run-down, null where not recorded."""

    class Meta:
        model = ShutdownRecord
        fields = ["place", "at", "figures"]


class RunStartsSerializer(serializers.Serializer):
    """The starts and shutdowns of one run, and the revision by whose rules they were read."""

    revision = serializers.IntegerField(allow_null=True)
    starts = StartSerializer(many=True)
    shutdowns = ShutdownSerializer(many=True)


class SeriesSerializer(serializers.Serializer):
    """One figure of an engine's starts, oldest first, with its charts; ``drift`` is null where too few are kept."""

    key = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]
    unit = serializers.CharField()
    at = serializers.ListField(child=serializers.DateTimeField())
    values = serializers.ListField(child=serializers.FloatField())
    verdict = serializers.CharField()
    drift = serializers.JSONField(allow_null=True, help_text="Rule, target, sigma, and both charts with their limits.")


class DriftSerializer(serializers.Serializer):
    """How an engine's starts drift, and by what that is called out."""

    rule = serializers.CharField()
    figures = SeriesSerializer(many=True)


class RunStartsView(APIView):
    """The starts of one run."""

    @extend_schema(summary="Show the starts of a run", responses=RunStartsSerializer)
    def get(self, request: Request, pk: UUID) -> Response:
        """Read from the run's trace by the rules of its type, as judged now; a run without evidence shows none."""
        run = run_for(person_of(request), pk)
        judgement = judgement_of(run)
        shown: dict[str, Any] = {"revision": None, "starts": [], "shutdowns": []}
        if judgement is not None:
            rows = {"starts": judgement.starts.all(), "shutdowns": judgement.shutdowns.all()}
            shown = {"revision": judgement.revision.number, **rows}
        return Response(RunStartsSerializer(shown).data)


class StartDriftView(APIView):
    """How the starts of one engine drift."""

    @extend_schema(summary="Show how an engine's starts drift", responses=DriftSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """Show EWMA and CUSUM charts of each watched figure, with the parameters that they were set by."""
        engine = engine_for(person_of(request), pk)
        data = revision_in_force(engine.engine_type, timezone.localdate()).data
        rule = (data.starts or StartRules()).drift
        figures = [_shown(series) for series in series_of(engine, data)]
        return Response(DriftSerializer({"rule": rule_words(rule), "figures": figures}).data)


def _shown(series: Series) -> dict[str, Any]:
    plain = {name: getattr(series, name) for name in ("key", "label", "unit", "at", "values", "verdict")}
    return {**plain, "drift": None if series.drift is None else asdict(series.drift)}

"""The operator's own limits, power and condition trend of an engine."""

from typing import Any
from uuid import UUID

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from engines.models import Engine
from engines.queries import engine_list, run_for
from inspections.queries import judgement_of
from logbook.advisories import engine_advisory_of
from logbook.api.base import person_of


class AdvisedSerializer(serializers.Serializer):
    """One excursion beyond an operator's own limit; it opens nothing."""

    name = serializers.CharField(help_text="Of the operator's own limit.")
    chart = serializers.CharField(help_text="The maker's, which it is tighter than.")
    channel = serializers.CharField()
    unit = serializers.CharField()
    side = serializers.CharField()
    limit = serializers.FloatField(help_text="The operator's own. [unit]")
    maker = serializers.FloatField(help_text="The maker's. [unit]")
    start_s = serializers.FloatField(allow_null=True)
    end_s = serializers.FloatField(allow_null=True)
    peak = serializers.FloatField(allow_null=True)
    seconds = serializers.FloatField(allow_null=True, help_text="Beyond the operator's own limit. [s]")
    margin = serializers.FloatField(allow_null=True, help_text="Short of the maker's limit; null beyond it. [unit]")
    is_beyond_maker = serializers.BooleanField()
    open_ended = serializers.BooleanField()
    is_read = serializers.BooleanField(help_text="Written down by a person, not recorded.")


class AdvisoryCountSerializer(serializers.Serializer):
    """One of the operator's own limits, with how often it was passed."""

    name = serializers.CharField(source="own.name")
    chart = serializers.CharField(source="maker.name")
    unit = serializers.CharField(source="maker.unit")
    limit = serializers.FloatField(source="own.limit")
    maker = serializers.FloatField(source="maker.limit")
    reason = serializers.CharField(source="own.reason")
    in_all = serializers.IntegerField()
    since_overhaul = serializers.IntegerField(allow_null=True)
    recent = serializers.IntegerField(help_text="In the last 90 days.")
    least_margin = serializers.FloatField(allow_null=True)


class AdvisedRunSerializer(serializers.Serializer):
    """One excursion beyond an operator's own limit, with its run."""

    run = serializers.UUIDField()
    began = serializers.DateTimeField()
    advised = AdvisedSerializer()


class EngineAdvisorySerializer(serializers.Serializer):
    """The operator's own limits of an engine, and what went beyond them, newest first."""

    revision = serializers.IntegerField(source="revision.number")
    counts = AdvisoryCountSerializer(many=True)
    passed = AdvisedRunSerializer(many=True)


def engine_asked(request: Request, pk: int) -> Engine:
    """Return an engine that whoever asks may see; NotFound otherwise."""
    engine = engine_list(person_of(request)).filter(pk=pk).first()
    if engine is None:
        raise NotFound("There is no such engine.")
    return engine


class EngineAdvisoryView(APIView):
    """The operator's own limits of one engine."""

    @extend_schema(
        operation_id="engines_advisory",
        summary="Show the operator's own limits of an engine, and what went beyond them",
        responses=EngineAdvisorySerializer,
    )
    def get(self, request: Request, pk: int) -> Response:
        """Give each limit with its counts, and each excursion; nothing is opened by these."""
        engine = engine_asked(request, pk)
        found = engine_advisory_of(person_of(request), engine, timezone.localdate())
        return Response(EngineAdvisorySerializer(found).data)


class RunAdvisoryView(APIView):
    """What went beyond the operator's own limits in one run."""

    @extend_schema(
        operation_id="runs_advisory",
        summary="Show what went beyond the operator's own limits in a run",
        responses=AdvisedSerializer(many=True),
    )
    def get(self, request: Request, pk: UUID) -> Response:
        """Give each excursion; the verdict does not hold them, as they call for nothing."""
        run = run_for(person_of(request), pk)
        judgement = judgement_of(run)
        found: list[Any] = [] if judgement is None else judgement.advisory
        return Response(AdvisedSerializer(found, many=True).data)

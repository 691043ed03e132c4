"""Engines: their times, and whether they are serviceable."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from engines.actions import engine_add
from engines.filters import EngineFilter
from engines.models import Engine
from engines.queries import engine_list, engine_type_list, engines_times
from engines.standing import with_tasks
from inspections.queries import due_of
from logbook.api.base import RecordViewSet, operator_of
from logbook.api.fields import CountField, SeenField, StrictSerializer
from logbook.conditions import conditions_of
from logbook.maintenance.queries import with_holding


class ConditionSerializer(serializers.Serializer):
    """An engine's condition, derived from what is open; nobody types it."""

    is_serviceable = serializers.BooleanField()
    label = serializers.CharField()  # type: ignore[assignment]  # a key, not the field's own label
    reasons = serializers.ListField(child=serializers.CharField())
    open_count = serializers.IntegerField()


class TimesSerializer(serializers.Serializer):
    """What has been used so far, in seconds and counts."""

    run_time_s = serializers.IntegerField(help_text="Light-off to shutdown. [s]")
    time_in_service_s = serializers.IntegerField(help_text="Surface to touchdown. [s]")
    starts = serializers.IntegerField()
    cycles = serializers.IntegerField()
    partial_cycles = serializers.IntegerField()
    other = serializers.DictField(
        child=serializers.IntegerField(), help_text="What the type counts besides, by the counter's name."
    )


class TypeNameSerializer(serializers.Serializer):
    """The type of an engine."""

    id = serializers.IntegerField()
    name = serializers.CharField()


class EngineSerializer(serializers.ModelSerializer):
    """An engine with its condition and what it has used."""

    engine_type = TypeNameSerializer()
    condition = serializers.SerializerMethodField()
    times = serializers.SerializerMethodField()

    class Meta:
        model = Engine
        own = ["id", "serial", "engine_type", "fitted_to", "position", "overhauled_on", "left_at", "left_to"]
        fields = [*own, "condition", "times"]

    @extend_schema_field(ConditionSerializer)
    def get_condition(self, engine: Engine) -> Any:
        return ConditionSerializer(self.context["conditions"][engine.pk]).data

    @extend_schema_field(TimesSerializer)
    def get_times(self, engine: Engine) -> Any:
        return TimesSerializer(self.context["times"][engine.pk]).data


def engines_shown(engines: list[Engine]) -> Any:
    """Return engines as plain data, their times and conditions read together."""
    times = engines_times(engines)
    context = {"conditions": conditions_of(engines, due_of(engines, times)), "times": times}
    return EngineSerializer(engines, many=True, context=context).data


class EngineBody(StrictSerializer):
    """A new engine, with what it had used when its record here begins."""

    engine_type = SeenField(seen=engine_type_list)
    serial = serializers.CharField(max_length=60)
    fitted_to = serializers.CharField(max_length=120, required=False, allow_blank=True)
    position = serializers.CharField(max_length=60, required=False, allow_blank=True)
    opening_run_time_s = CountField(required=False)
    opening_time_in_service_s = CountField(required=False)
    opening_starts = CountField(required=False)
    opening_cycles = CountField(required=False)
    overhauled_on = serializers.DateField(required=False, allow_null=True)


class EngineViewSet(RecordViewSet):
    """Engines, their times and their condition."""

    queryset = Engine.objects.none()
    serializer_class = EngineSerializer
    filterset_class = EngineFilter

    def get_queryset(self) -> QuerySet[Engine]:
        return with_holding(with_tasks(engine_list(self.person)))

    def record(self, key: int) -> Engine:
        """Return one that whoever asks may see; Engine.DoesNotExist otherwise."""
        return self.get_queryset().get(pk=key)

    @extend_schema(summary="List the engines with their condition and times")
    def list(self, request: Request) -> Response:
        return self.get_paginated_response(engines_shown(self.asked_page()))

    @extend_schema(summary="Show an engine, its condition and times")
    def retrieve(self, request: Request, pk: int) -> Response:
        return Response(engines_shown([self.record(pk)])[0])

    @extend_schema(summary="Add an engine", request=EngineBody, responses={201: EngineSerializer})
    def create(self, request: Request) -> Response:
        engine = engine_add(operator=operator_of(request), **self.sent(EngineBody))
        return Response(engines_shown([engine])[0], status=201)

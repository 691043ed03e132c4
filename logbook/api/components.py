"""Components: their times, and where they were fitted."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from engines.actions import component_add, part_fit, part_remove
from engines.filters import ComponentFilter
from engines.models import Component, PartMovement
from engines.part_queries import component_for, component_list, component_times, fitted_at
from engines.queries import engine_list
from logbook.api.base import RecordViewSet, operator_of
from logbook.api.engines import TimesSerializer
from logbook.api.fields import CountField, MomentField, SeenField, StrictSerializer


class MovementSerializer(serializers.ModelSerializer):
    """One line of the fitted and removed ledger."""

    engine_serial = serializers.CharField(source="engine.serial")
    recorded_by = serializers.StringRelatedField()

    class Meta:
        model = PartMovement
        fields = ["kind", "engine", "engine_serial", "position", "at", "recorded_by", "recorded_at"]


class ComponentSerializer(serializers.ModelSerializer):
    """A component by part number and serial."""

    class Meta:
        model = Component
        fields = ["id", "part_number", "serial", "description"]


class ComponentDetailSerializer(ComponentSerializer):
    """A component with its times, where it is fitted now (null: nowhere) and its ledger."""

    times = serializers.SerializerMethodField()
    fitted_to = serializers.SerializerMethodField()
    movements = MovementSerializer(many=True)

    class Meta(ComponentSerializer.Meta):
        fields = [*ComponentSerializer.Meta.fields, "fitted_to", "times", "movements"]

    @extend_schema_field(TimesSerializer)
    def get_times(self, component: Component) -> Any:
        return TimesSerializer(component_times(component)).data

    def get_fitted_to(self, component: Component) -> int | None:
        line = fitted_at(component)
        return line.engine_id if line else None


class ComponentBody(StrictSerializer):
    """A new component, with what it had used when its record here begins."""

    part_number = serializers.CharField(max_length=60)
    serial = serializers.CharField(max_length=60)
    description = serializers.CharField(max_length=120, default="", allow_blank=True)
    brought_run_time_s = CountField(default=0)
    brought_starts = CountField(default=0)
    brought_cycles = CountField(default=0)


class FitBody(StrictSerializer):
    """Where and when a component was fitted."""

    engine = SeenField(seen=engine_list)
    position = serializers.CharField(max_length=60, default="", allow_blank=True)
    at = MomentField()


class RemoveBody(StrictSerializer):
    """When a component was removed."""

    at = MomentField()


class ComponentViewSet(RecordViewSet):
    """Components, their times and their ledger."""

    queryset = Component.objects.none()
    serializer_class = ComponentSerializer
    filterset_class = ComponentFilter

    def get_queryset(self) -> QuerySet[Component]:
        return component_list(self.person)

    def record(self, key: int) -> Component:
        """Return one that whoever asks may see; Component.DoesNotExist otherwise."""
        return component_for(self.person, key)

    @extend_schema(summary="List the components")
    def list(self, request: Request) -> Response:
        return self.get_paginated_response(ComponentSerializer(self.asked_page(), many=True).data)

    @extend_schema(summary="Show a component, its times and its ledger", responses=ComponentDetailSerializer)
    def retrieve(self, request: Request, pk: int) -> Response:
        return self.respond(ComponentDetailSerializer(self.record(pk)))

    @extend_schema(summary="Add a component", request=ComponentBody, responses={201: ComponentDetailSerializer})
    def create(self, request: Request) -> Response:
        component = component_add(operator=operator_of(request), **self.sent(ComponentBody))
        return self.respond(ComponentDetailSerializer(component), 201)

    @extend_schema(summary="Fit a component to an engine", request=FitBody, responses=ComponentDetailSerializer)
    @action(detail=True, methods=["post"])
    def fit(self, request: Request, pk: int) -> Response:
        component = self.record(pk)
        part_fit(component=component, by=self.person, **self.sent(FitBody))
        return self.respond(ComponentDetailSerializer(self.record(pk)))

    @extend_schema(
        summary="Remove a component from its engine", request=RemoveBody, responses=ComponentDetailSerializer
    )
    @action(detail=True, methods=["post"])
    def remove(self, request: Request, pk: int) -> Response:
        component = self.record(pk)
        part_remove(component=component, by=self.person, **self.sent(RemoveBody))
        return self.respond(ComponentDetailSerializer(self.record(pk)))

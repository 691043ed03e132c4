"""Components: their times, and where they were fitted."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from engines.actions import component_add, part_fit, part_remove
from engines.filters import ComponentFilter
from engines.models import Component, PartMovement
from engines.part_queries import component_for, component_list, component_times, fitted_at, statuses_of
from engines.queries import engine_list
from logbook.api.base import RecordViewSet, operator_of
from logbook.api.engines import TimesSerializer
from logbook.api.fields import CountField, MomentField, SeenField, StrictSerializer
from logbook.part_words import limit_rows


class MovementSerializer(serializers.ModelSerializer):
    """One line of the fitted and removed ledger: on an engine, or in another component; what was used by then."""

    engine_serial = serializers.CharField(source="engine.serial", allow_null=True)
    recorded_by = serializers.StringRelatedField()
    struck = serializers.CharField(source="void.reason", default=None, help_text="Why the line counts no more.")
    replaced_by = serializers.PrimaryKeyRelatedField[PartMovement](
        read_only=True, default=None, help_text="The line by which it was stated anew."
    )

    class Meta:
        model = PartMovement
        fields = [
            "id", "kind", "engine", "engine_serial", "parent", "position", "place", "control", "is_temporary", "life",
            "at", "struck", "replaces", "replaced_by", "remarks", "recorded_by", "recorded_at",
        ]  # fmt: skip


class LimitSerializer(serializers.Serializer):
    """One limit of a component: how much by which source, what is used and left (exact, in the limit's unit)."""

    kind = serializers.CharField(source="row.kind")
    parameter = serializers.CharField(source="row.parameter")
    amount = serializers.IntegerField(source="row.amount")
    unit = serializers.CharField(source="row.unit", help_text="s, count, days or months.")
    weight = serializers.CharField(source="row.weight", help_text="What a partial cycle counts for.")
    tolerance = serializers.IntegerField(source="row.tolerance")
    source = serializers.CharField(source="row.source")  # type: ignore[assignment]  # a key, not the field's own
    source_revision = serializers.CharField(source="row.source_revision")
    is_correction = serializers.BooleanField(
        source="row.is_correction", help_text="It states anew what was entered wrong from the same source."
    )
    used = serializers.FloatField(source="status.used", allow_null=True, help_text="In days for calendar time.")
    remaining = serializers.FloatField(source="status.remaining", allow_null=True, help_text="Negative: overrun.")
    due_on = serializers.DateField(source="status.due_on", allow_null=True)
    state = serializers.CharField(source="status.state")
    is_nearest = serializers.BooleanField()


class ComponentSerializer(serializers.ModelSerializer):
    """A component by part number and serial."""

    class Meta:
        model = Component
        fields = ["id", "part_number", "serial", "description", "made_on"]


class ComponentDetailSerializer(ComponentSerializer):
    """A component with its times, where it is fitted now (null: nowhere) and its ledger."""

    times = serializers.SerializerMethodField()
    fitted_to = serializers.SerializerMethodField()
    fitted_in = serializers.SerializerMethodField()
    limits = serializers.SerializerMethodField()
    movements = MovementSerializer(many=True)

    class Meta(ComponentSerializer.Meta):
        opening = ["opening_basis", "opening_document", "opening_is_reconstructed"]
        own = ["fitted_to", "fitted_in", "times", "limits", "movements"]
        fields = [*ComponentSerializer.Meta.fields, *opening, *own]

    @extend_schema_field(LimitSerializer(many=True))
    def get_limits(self, component: Component) -> Any:
        status = statuses_of([component], timezone.localdate())[component.pk]
        return LimitSerializer(limit_rows(status), many=True).data

    @extend_schema_field(TimesSerializer)
    def get_times(self, component: Component) -> Any:
        return TimesSerializer(component_times(component)).data

    def get_fitted_to(self, component: Component) -> int | None:
        line = fitted_at(component)
        return line.engine_id if line else None

    def get_fitted_in(self, component: Component) -> int | None:
        line = fitted_at(component)
        return line.parent_id if line else None


class ComponentBody(StrictSerializer):
    """A new component, with what it had used when its record here begins."""

    part_number = serializers.CharField(max_length=60)
    serial = serializers.CharField(max_length=60)
    description = serializers.CharField(max_length=120, default="", allow_blank=True)
    brought_run_time_s = CountField(default=0)
    brought_time_in_service_s = CountField(default=0)
    brought_starts = CountField(default=0)
    brought_cycles = CountField(default=0)
    brought_partial_cycles = CountField(default=0)
    made_on = serializers.DateField(default=None, allow_null=True)
    opening_basis = serializers.CharField(default="", allow_blank=True, help_text="Where the figures come from.")
    opening_document = serializers.CharField(max_length=240, default="", allow_blank=True)
    opening_is_reconstructed = serializers.BooleanField(default=False)


class FitBody(StrictSerializer):
    """Where and when a component was fitted: to an engine, or into another component."""

    engine = SeenField(seen=engine_list, default=None, allow_null=True)
    parent = SeenField(seen=component_list, default=None, allow_null=True)  # type: ignore[assignment]  # a key
    position = serializers.CharField(max_length=60, default="", allow_blank=True)
    control = serializers.ChoiceField(
        PartMovement.Control.choices,
        default="",
        allow_blank=True,
        help_text="The method of 14 CFR 43.10(c) by which it was controlled, where a temporary removal was none.",
    )
    remarks = serializers.CharField(max_length=240, default="", allow_blank=True)
    at = MomentField()


class RemoveBody(StrictSerializer):
    """When a component was removed, and how one with a life limit is controlled (14 CFR 43.10)."""

    control = serializers.ChoiceField(PartMovement.Control.choices, default="", allow_blank=True)
    is_temporary = serializers.BooleanField(default=False)
    place = serializers.CharField(max_length=120, default="", allow_blank=True)
    remarks = serializers.CharField(max_length=240, default="", allow_blank=True)
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

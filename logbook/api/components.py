"""Components: their times, their limits, where they were fitted; and what other programs say was done to them."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from engines.filters import ComponentFilter
from engines.models import Component, PartDone, PartMovement
from engines.part_queries import component_for, component_list, component_times, fitted_at, statuses_of
from logbook.api.engines import TimesSerializer
from logbook.api.part_bodies import (
    ComponentBody,
    FitBody,
    MoveBody,
    RemoveBody,
    ReturnBody,
    SendBody,
    StrikeBody,
)
from logbook.api.part_drafts import DRAFTED, KEPT, DraftingViewSet
from logbook.part_drafts.queries import drafts_of
from logbook.part_drafts.rows import PartDraft
from logbook.part_words import limit_rows

Kind = PartDraft.Kind


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
            "at", "struck", "replaces", "replaced_by", "remarks", "release_certificate", "recorded_by",
            "recorded_at",
        ]  # fmt: skip


class LimitSerializer(serializers.Serializer):
    """One limit of a component: how much by which source, what is used and left (exact, in the limit's unit)."""

    id = serializers.IntegerField(source="row.pk")
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


class DoneSerializer(serializers.ModelSerializer):
    """An overhaul or an inspection that was done, by which an interval began anew."""

    kind = serializers.CharField(source="limit.kind")
    recorded_by = serializers.StringRelatedField()

    class Meta:
        model = PartDone
        fields = ["limit", "kind", "at", "reference", "tested_by", "recorded_by", "recorded_at"]


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
    done = DoneSerializer(many=True)
    unsigned = serializers.SerializerMethodField()

    class Meta(ComponentSerializer.Meta):
        opening = ["opening_basis", "opening_document", "opening_is_reconstructed"]
        own = ["fitted_to", "fitted_in", "times", "limits", "movements", "done", "unsigned"]
        fields = [*ComponentSerializer.Meta.fields, *opening, *own]

    @extend_schema_field(LimitSerializer(many=True))
    def get_limits(self, component: Component) -> Any:
        status = statuses_of([component], timezone.localdate())[component.pk]
        return LimitSerializer(limit_rows(status), many=True).data

    @extend_schema_field(TimesSerializer)
    def get_times(self, component: Component) -> Any:
        return TimesSerializer(component_times(component)).data

    @extend_schema_field(serializers.ListField(child=serializers.UUIDField()))
    def get_unsigned(self, component: Component) -> list[str]:
        """Return the drafts about it that nobody has signed: nothing of them is in the other figures."""
        return [str(key) for key in drafts_of([component]).order_by("since").values_list("pk", flat=True)]

    def get_fitted_to(self, component: Component) -> int | None:
        line = fitted_at(component)
        return line.engine_id if line else None

    def get_fitted_in(self, component: Component) -> int | None:
        line = fitted_at(component)
        return line.parent_id if line else None


class ComponentViewSet(DraftingViewSet):
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

    @extend_schema(summary="Enter a component", request=ComponentBody, responses=DRAFTED)
    def create(self, request: Request) -> Response:
        """Kept as a draft: the component is there once its opening balance is signed."""
        return self.drafted(Kind.OPENING, self.sent(ComponentBody))

    def _act(self, pk: int, kind: PartDraft.Kind, body: type, **more: Any) -> Response:
        component = self.record(pk)
        return self.drafted(kind, self.sent(body), component, **more)

    @extend_schema(summary="Fit a component", description=KEPT, request=FitBody, responses=DRAFTED)
    @action(detail=True, methods=["post"])
    def fit(self, request: Request, pk: int) -> Response:
        return self._act(pk, Kind.FIT, FitBody)

    @extend_schema(summary="Remove a component", description=KEPT, request=RemoveBody, responses=DRAFTED)
    @action(detail=True, methods=["post"])
    def remove(self, request: Request, pk: int) -> Response:
        return self._act(pk, Kind.REMOVE, RemoveBody)

    @extend_schema(summary="Move a component elsewhere", description=KEPT, request=MoveBody, responses=DRAFTED)
    @action(detail=True, methods=["post"])
    def move(self, request: Request, pk: int) -> Response:
        return self._act(pk, Kind.MOVE, MoveBody)

    @extend_schema(summary="Send a component to another owner", description=KEPT, request=SendBody, responses=DRAFTED)
    @action(detail=True, methods=["post"])
    def send(self, request: Request, pk: int) -> Response:
        return self._act(pk, Kind.SEND, SendBody)

    @extend_schema(summary="Say that a component came back", description=KEPT, request=ReturnBody, responses=DRAFTED)
    @action(detail=True, methods=["post"], url_path="return", url_name="return")
    def came_back(self, request: Request, pk: int) -> Response:
        return self._act(pk, Kind.RETURN, ReturnBody)

    @extend_schema(summary="Strike the newest line", description=KEPT, request=StrikeBody, responses=DRAFTED)
    @action(detail=True, methods=["post"])
    def strike(self, request: Request, pk: int) -> Response:
        return self._act(pk, Kind.STRIKE, StrikeBody)

"""The limits of components, revision after revision, and what is done for their intervals."""

from typing import Final

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from engines.models import Component, PartLimit
from engines.part_queries import component_for
from logbook.api.part_bodies import DoneBody, LimitBody, LimitFactsBody
from logbook.api.part_drafts import DRAFTED, KEPT, DraftingViewSet
from logbook.part_drafts.rows import PartDraft

Kind = PartDraft.Kind
NEWER: Final = f"A limit is only ever replaced by a newer revision of its source. {KEPT}"


class LimitRevisionSerializer(serializers.ModelSerializer):
    """One revision of a limit; ``key`` is the same from revision to revision."""

    entered_by = serializers.StringRelatedField()
    is_in_force = serializers.SerializerMethodField()

    class Meta:
        model = PartLimit
        fields = [
            "id", "key", "part_number", "serial", "kind", "parameter", "amount", "unit", "weight", "tolerance",
            "source", "source_revision", "remarks", "replaces", "is_in_force", "entered_by", "entered_at",
        ]  # fmt: skip

    def get_is_in_force(self, limit: PartLimit) -> bool:
        return not hasattr(limit, "replaced_by")


class LimitViewSet(DraftingViewSet):
    """The limits of a component, every revision of them, and what was done for their intervals."""

    queryset = PartLimit.objects.none()
    serializer_class = LimitRevisionSerializer
    filterset_class = None

    def part(self) -> Component:
        """Return the component of the address; Component.DoesNotExist where whoever asks may not see it."""
        return component_for(self.person, self.kwargs["component"])

    def get_queryset(self) -> QuerySet[PartLimit]:
        part = self.part()
        of_part = PartLimit.objects.filter(operator=part.operator_id, part_number=part.part_number)
        return of_part.filter(serial__in=["", part.serial]).select_related("entered_by", "replaced_by").order_by("-pk")

    @extend_schema(summary="List the revisions of a component's limits, newest first")
    def list(self, request: Request, component: int) -> Response:
        return self.get_paginated_response(LimitRevisionSerializer(self.asked_page(), many=True).data)

    @extend_schema(summary="Enter a limit", description=KEPT, request=LimitBody, responses=DRAFTED)
    def create(self, request: Request, component: int) -> Response:
        part = self.part()
        return self.drafted(Kind.LIMIT_ADD, self.sent(LimitBody), part)

    def _of_limit(self, pk: int, kind: PartDraft.Kind, body: type) -> Response:
        """Keep an act on the limit of the address, which must be the component's."""
        limit = self.get_queryset().get(pk=pk)
        return self.drafted(kind, self.sent(body), self.part(), limit=limit.pk)

    @extend_schema(summary="Replace a limit", description=NEWER, request=LimitFactsBody, responses=DRAFTED)
    @action(detail=True, methods=["post"])
    def replace(self, request: Request, component: int, pk: int) -> Response:
        return self._of_limit(pk, Kind.LIMIT_REPLACE, LimitFactsBody)

    @extend_schema(summary="Record that an interval was met", description=KEPT, request=DoneBody, responses=DRAFTED)
    @action(detail=True, methods=["post"])
    def done(self, request: Request, component: int, pk: int) -> Response:
        return self._of_limit(pk, Kind.DONE, DoneBody)

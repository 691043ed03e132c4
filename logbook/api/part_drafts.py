"""Acts on parts that other programs sent: kept as drafts, signed on the screen where the text is read, or dropped."""

from typing import Any, Final
from uuid import UUID

from django.db.models import QuerySet
from django_filters import rest_framework as filters
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from engines.models import Component
from logbook.api.base import RecordViewSet
from logbook.api.fields import StrictSerializer
from logbook.part_drafts.keeping import Sent, draft_drop, draft_keep
from logbook.part_drafts.queries import draft_for, draft_list
from logbook.part_drafts.rows import PartDraft

KEPT = "Kept as a draft; nothing of it counts until a person has read and signed it."


class ToldSerializer(serializers.Serializer):
    """One line of what the entry would have said when the draft came."""

    name = serializers.CharField()
    text = serializers.CharField(allow_blank=True)


class PartDraftSerializer(serializers.ModelSerializer):
    """An act on a part that waits to be signed, or what became of it; ``sign_at`` is the screen where it is read."""

    kind = serializers.ChoiceField(choices=PartDraft.Kind.choices)
    state = serializers.ChoiceField(choices=PartDraft.State.choices)
    told = serializers.SerializerMethodField()
    sent_by = serializers.StringRelatedField()
    closed_by = serializers.StringRelatedField()
    entries = serializers.SlugRelatedField(many=True, read_only=True, slug_field="number")
    sign_at = serializers.SerializerMethodField()

    class Meta:
        model = PartDraft
        fields = [
            "id", "kind", "component", "engine", "other_engine", "title", "told", "state", "sent_by", "since",
            "closed_by", "closed_at", "dropped_why", "entries", "sign_at",
        ]  # fmt: skip

    @extend_schema_field(ToldSerializer(many=True))
    def get_told(self, draft: PartDraft) -> list[dict[str, str]]:
        return [{"name": name, "text": text} for name, text in draft.told]

    @extend_schema_field(OpenApiTypes.URI)
    def get_sign_at(self, draft: PartDraft) -> str:
        return reverse("part_draft", args=[draft.pk], request=self.context["request"])


class PartDraftFilter(filters.FilterSet):
    """Which drafts are listed."""

    class Meta:
        model = PartDraft
        fields = ["state", "kind", "component", "engine"]


DRAFTED: Final = {
    201: PartDraftSerializer,
    200: OpenApiResponse(PartDraftSerializer, "The same body was sent before."),
}


class DropBody(StrictSerializer):
    """Why nobody is to sign it."""

    why = serializers.CharField(max_length=240)


class DraftingViewSet(RecordViewSet):
    """A view that keeps what it is sent as a draft."""

    def drafted(
        self, kind: PartDraft.Kind, stated: dict[str, Any], component: Component | None = None, **more: Any
    ) -> Response:
        """Keep a checked body as a draft, and return it; 200 where the same body came before under its id."""
        key: UUID | None = stated.pop("id", None)
        draft, is_new = draft_keep(sent=Sent(kind, stated | more, component, key), by=self.person)
        shown = PartDraftSerializer(draft_for(self.person, draft.pk), context=self.get_serializer_context())
        return self.respond(shown, 201 if is_new else 200)


class PartDraftViewSet(RecordViewSet):
    """What was sent of parts: not signed yet, signed, or dropped."""

    queryset = PartDraft.objects.none()
    serializer_class = PartDraftSerializer
    filterset_class = PartDraftFilter
    lookup_value_converter = "uuid"

    def get_queryset(self) -> QuerySet[PartDraft]:
        return draft_list(self.person).prefetch_related("entries")

    def shown(self, pk: UUID) -> Response:
        """Return a draft as it stands now."""
        return self.respond(PartDraftSerializer(draft_for(self.person, pk), context=self.get_serializer_context()))

    @extend_schema(summary="List the drafts of what was done to parts")
    def list(self, request: Request) -> Response:
        context = self.get_serializer_context()
        return self.get_paginated_response(PartDraftSerializer(self.asked_page(), many=True, context=context).data)

    @extend_schema(summary="Show a draft, and what became of it")
    def retrieve(self, request: Request, pk: UUID) -> Response:
        return self.shown(pk)

    @extend_schema(summary="Drop a draft that nobody is to sign", request=DropBody, responses=PartDraftSerializer)
    @action(detail=True, methods=["post"])
    def drop(self, request: Request, pk: UUID) -> Response:
        """Keep it readable with its reason; nothing of it ever counts."""
        draft_drop(draft=draft_for(self.person, pk), by=self.person, **self.sent(DropBody))
        return self.shown(pk)

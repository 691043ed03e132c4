"""Engine types and the revisions of their limits."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from engines.actions import engine_type_add, revision_adopt, revision_enter
from engines.models import EngineType, TypeRevision
from engines.queries import charts_unkeyed_by, engine_type_for, engine_type_list, revision_in_force
from inspections.replay import replay
from logbook.api.base import RecordViewSet, operator_of
from logbook.api.fields import StrictSerializer

EXAMPLE = OpenApiExample(
    "An invented type",
    value={
        "name": "Testbird TB-1",
        "channels": [{"name": "itt", "label": "Interstage turbine temperature", "unit": "degC"}],
        "charts": [
            {
                "name": "ITT",
                "channel": "itt",
                "limit": 700,
                "areas": [
                    {
                        "name": "A",
                        "allowed": [{"above": 700, "seconds": 60}, {"above": 720, "seconds": 0}],
                        "action": {"summary": "Find and correct the cause", "before_next_flight": False},
                    }
                ],
                "source": "invented",
            }
        ],
    },
    request_only=True,
)


class RevisionSerializer(serializers.ModelSerializer):
    """A revision of a type's limits, without its document."""

    entered_by = serializers.StringRelatedField()
    checked_by = serializers.StringRelatedField()

    class Meta:
        model = TypeRevision
        fields = [
            "number",
            "source",
            "in_force_from",
            "is_adopted",
            "entered_by",
            "entered_at",
            "checked_by",
            "checked_at",
        ]
        read_only_fields = fields


class RevisionDetailSerializer(RevisionSerializer):
    """A revision of a type's limits with its document; null while whoever asks may yet key it a second time, blind."""

    document = extend_schema_field(OpenApiTypes.OBJECT)(serializers.JSONField)(read_only=True)

    class Meta(RevisionSerializer.Meta):
        fields = [*RevisionSerializer.Meta.fields, "document"]
        read_only_fields = fields

    def to_representation(self, instance: TypeRevision) -> dict[str, Any]:
        shown: dict[str, Any] = super().to_representation(instance)
        person = self.context.get("person")
        if person is not None and person.may("limits.adopt") and charts_unkeyed_by(instance, person):
            shown["document"] = None
        return shown


class EngineTypeSerializer(serializers.ModelSerializer):
    """A type of engine in a list."""

    class Meta:
        model = EngineType
        fields = ["id", "name"]


class EngineTypeDetailSerializer(serializers.ModelSerializer):
    """A type of engine with its revision in force today (null: none yet) and all its revisions."""

    in_force = serializers.SerializerMethodField()
    revisions = RevisionSerializer(many=True)

    class Meta:
        model = EngineType
        fields = ["id", "name", "in_force", "revisions"]

    @extend_schema_field(RevisionDetailSerializer(allow_null=True))
    def get_in_force(self, engine_type: EngineType) -> Any:
        try:
            revision = revision_in_force(engine_type, timezone.localdate())
        except TypeRevision.DoesNotExist:
            return None
        return RevisionDetailSerializer(revision).data


class RevisionBody(StrictSerializer):
    """A changed document, entered as a draft until a second person adopts it."""

    document = extend_schema_field(OpenApiTypes.OBJECT)(serializers.JSONField)()
    source = serializers.CharField(max_length=240, help_text="The approved data it was taken from, with its revision.")  # type: ignore[assignment]
    in_force_from = serializers.DateField()


class ChangeSerializer(serializers.Serializer):
    """A run that a revision would judge otherwise: the areas of its excursions before and after."""

    run = serializers.UUIDField(source="run.pk")
    chart = serializers.CharField()
    before = serializers.ListField(child=serializers.CharField(allow_null=True))
    after = serializers.ListField(child=serializers.CharField(allow_null=True))


class ReplaySerializer(serializers.Serializer):
    """What a revision would change across the stored runs."""

    revision = serializers.IntegerField(source="revision.number")
    against = serializers.IntegerField(source="against.number")
    runs_total = serializers.IntegerField()
    runs_read = serializers.IntegerField(help_text="How many had to be read; the others cannot be affected.")
    changes = ChangeSerializer(many=True)


class SourceQuery(serializers.Serializer):
    """Where a new type's limits were taken from, beside the document."""

    source = serializers.CharField(  # type: ignore[assignment]
        max_length=240, default="", allow_blank=True, help_text="The approved data, with its revision."
    )


class EngineTypeViewSet(RecordViewSet):
    """Engine types, the limits in force, and their revisions."""

    queryset = EngineType.objects.none()
    serializer_class = EngineTypeSerializer

    def get_queryset(self) -> QuerySet[EngineType]:
        return engine_type_list(self.person)

    def record(self, key: int) -> EngineType:
        """Return one that whoever asks may see; EngineType.DoesNotExist otherwise."""
        return engine_type_for(self.person, key)

    @extend_schema(summary="List the engine types")
    def list(self, request: Request) -> Response:
        return self.get_paginated_response(EngineTypeSerializer(self.asked_page(), many=True).data)

    @extend_schema(summary="Show an engine type, its limits in force and all revisions")
    @extend_schema(responses=EngineTypeDetailSerializer)
    def retrieve(self, request: Request, pk: int) -> Response:
        return self.respond(EngineTypeDetailSerializer(self.record(pk)))

    @extend_schema(
        summary="Add an engine type from its document",
        request=OpenApiTypes.OBJECT,
        parameters=[SourceQuery],
        examples=[EXAMPLE],
        responses={201: EngineTypeDetailSerializer},
    )
    def create(self, request: Request) -> Response:
        """Take the document itself as the body; every fault comes back with its path, and nothing is half saved."""
        query = SourceQuery(data=request.query_params)
        query.is_valid(raise_exception=True)
        revision = engine_type_add(
            operator=operator_of(request), document=request.data, by=self.person, **query.validated_data
        )
        return self.respond(EngineTypeDetailSerializer(self.record(revision.engine_type_id)), 201)

    @extend_schema(summary="List the revisions of a type", responses=RevisionDetailSerializer(many=True))
    @action(detail=True, pagination_class=None)
    def revisions(self, request: Request, pk: int) -> Response:
        rows = self.record(pk).revisions.all()
        return self.respond(RevisionDetailSerializer(rows, many=True, context={"person": self.person}))

    @extend_schema(
        summary="Enter a changed document as a draft",
        request=RevisionBody,
        responses={201: RevisionDetailSerializer},
    )
    @revisions.mapping.post
    def revision_create(self, request: Request, pk: int) -> Response:
        """Faults of the document are named by their paths within it."""
        engine_type = self.record(pk)
        revision = revision_enter(engine_type=engine_type, by=self.person, **self.sent(RevisionBody))
        return self.respond(RevisionDetailSerializer(revision), 201)

    @extend_schema(summary="Show what a revision would change across all stored runs", responses=ReplaySerializer)
    @action(detail=True, url_path="revisions/<int:number>/replay", pagination_class=None)
    def revision_replay(self, request: Request, pk: int, number: int) -> Response:
        return self.respond(ReplaySerializer(replay(self.record(pk).revisions.get(number=number))))

    @extend_schema(
        summary="Adopt a revision that somebody else entered", request=None, responses=RevisionDetailSerializer
    )
    @action(detail=True, methods=["post"], url_path="revisions/<int:number>/adopt")
    def revision_adopt(self, request: Request, pk: int, number: int) -> Response:
        revision = self.record(pk).revisions.get(number=number)
        return self.respond(RevisionDetailSerializer(revision_adopt(revision=revision, by=self.person)))
